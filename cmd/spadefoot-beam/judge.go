package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/gob"
	"io"
	"maps"
	"slices"
	"sync"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/core/state"

	"spadefoot/pipeline"
)

// judge is the one step in order: all screened parts, of one key, to what is said of
// each.
type judge struct {
	Job   job
	Quiet quiet
}

// judged is what is said of all captures, on its way.
type judged struct{ Whole *pipeline.Whole }

func (f *judge) ProcessElement(ctx context.Context, _ state.Provider, _ int, screened, outline, learned, matched, fetched, causes side, verdict func(int, []byte), whole func([]byte)) error {
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
		out.Whole, err = s.Judge(ctx, k, f.Job.blocks(causes), m, q.inOrder(&f.Job), w, func(part int, said []byte) error {
			return f.Job.give(ctx, "verdicts", said, func(b []byte) { verdict(part, append([]byte{bodyVerdict}, b...)) })
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

// judgedOnce reads what is said of all captures once for this process.
func (j *job) judgedOnce(block []byte) (*judged, error) {
	load, _ := j.process().judged.LoadOrStore(string(block), sync.OnceValues(func() (*judged, error) { return j.openJudged(block) }))
	return load.(func() (*judged, error))()
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

// inOrder opens the parts as Judge takes them.
func (w *waiting) inOrder(j *job) (out []func() ([]byte, error)) {
	for _, number := range slices.Sorted(maps.Keys(w.parts)) {
		out = append(out, j.opens(w.parts[number]))
	}
	return out
}

// finish makes a screened part captures as they are published, by shard, and says
// which columns they need.
type finish struct {
	Job   job
	Quiet quiet
}

func (f *finish) ProcessElement(ctx context.Context, _ state.Provider, _ int, blocks, outline, learned, matched, fetched side, whole []byte, emit func(int, []byte), columns func([]byte)) error {
	j := &f.Job
	known, err := j.judgedOnce(slices.Clone(whole))
	if err != nil {
		return err
	}
	var part, verdict []byte
	for block := []byte(nil); blocks(&block); {
		if len(block) > 0 && block[0] == bodyVerdict {
			verdict = slices.Clone(block[1:])
		} else {
			part = slices.Clone(block)
		}
	}
	said, err := j.unseal(verdict)
	if err != nil {
		return err
	}
	return j.with(func(s *pipeline.Shared) error {
		return s.Finish(j.joined(outline, learned, matched, fetched), known.Whole, said, j.opens(part), j.Shards, func(p pipeline.Part) error {
			block, err := j.packPart(p)
			if err == nil {
				weigh(ctx, "judged", block)
				emit(p.Shard, block)
				err = j.emitFrame(ctx, "columns", columns)(p.Columns, nil)
			}
			return err
		})
	})
}
