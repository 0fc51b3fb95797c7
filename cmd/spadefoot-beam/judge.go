package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/gob"
	"io"
	"iter"
	"maps"
	"slices"

	"spadefoot/pipeline"
)

// judge is the one step in order: all screened parts, of one key, to parts by
// shard.
type judge struct{ Job job }

// judged is what is said of all captures, on its way.
type judged struct{ Whole *pipeline.Whole }

func (f *judge) ProcessElement(ctx context.Context, _ int, screened, outline, learned, matched, fetched, causes side, part func(int, []byte), whole func([]byte)) error {
	k := f.Job.joined(outline, learned, matched, fetched)
	s, err := f.Job.survey()
	if err != nil {
		return err
	}
	q, err := wait(screened)
	if err != nil {
		return err
	}
	var m pipeline.Marked
	for of, to := range map[uint32]*[][]byte{ofMarks: &m.Followed, ofCounts: &m.Counts, ofSigns: &m.Signs} {
		if *to, err = f.Job.framed(q.marked[of]); err != nil {
			return err
		}
	}
	var out judged
	err = f.Job.write("findings.csv", func(w io.Writer) error {
		var err error
		out.Whole, err = s.Judge(ctx, k, f.Job.blocks(causes), m, q.inOrder(&f.Job), f.Job.Shards, w, func(p pipeline.Part) error {
			block, err := f.Job.packPart(p)
			if err == nil {
				weigh(ctx, "judged", block)
				part(p.Shard, block)
			}
			return err
		})
		return err
	})
	if err != nil {
		return err
	}
	var text bytes.Buffer
	if err := gob.NewEncoder(&text).Encode(out); err != nil {
		return err
	}
	block, err := f.Job.seal(text.Bytes())
	if err == nil {
		whole(block)
	}
	return err
}

func (j *job) openJudged(block []byte) (*judged, error) {
	text, err := j.unseal(block)
	if err != nil {
		return nil, err
	}
	out := new(judged)
	return out, gob.NewDecoder(bytes.NewReader(text)).Decode(out)
}

// waiting are screened parts as they came, and what is known of marks.
type waiting struct {
	parts  map[uint32][]byte // bodies by their number: one that came twice, from a bundle that the runner tried again, counts once
	marked map[uint32][]byte // framed, by what they are
}

func wait(blocks side) (*waiting, error) {
	w := &waiting{parts: map[uint32][]byte{}, marked: map[uint32][]byte{}}
	var block []byte
	for blocks(&block) {
		if len(block) < 4 {
			return nil, errBlock
		}
		number, body := binary.BigEndian.Uint32(block), block[4:]
		if number >= ofSigns {
			w.marked[number] = append(w.marked[number], body...)
		} else {
			w.parts[number] = bytes.Clone(body)
		}
	}
	return w, nil
}

// inOrder returns the parts as Judge takes them.
func (w *waiting) inOrder(j *job) iter.Seq2[[]byte, error] {
	return func(yield func([]byte, error) bool) {
		for _, number := range slices.Sorted(maps.Keys(w.parts)) {
			block, err := j.unseal(w.parts[number])
			if !yield(block, err) || err != nil {
				return
			}
		}
	}
}
