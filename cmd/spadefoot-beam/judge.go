package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"encoding/gob"
	"errors"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"

	"spadefoot/pipeline"
	"spadefoot/pipeline/store"
)

// judge is the one step in order: all screened parts, of one key, to parts by
// shard. They come in any order and wait in a file of this machine.
type judge struct{ Job job }

// judged is what is said of all captures, on its way.
type judged struct{ Whole *pipeline.Whole }

func (f *judge) ProcessElement(ctx context.Context, _ int, screened, outline, learned, matched, fetched, causes side, part func(int, []byte), whole func([]byte)) error {
	k, err := f.Job.joined(outline, learned, matched, fetched)
	if err != nil {
		return err
	}
	said, err := f.Job.unsealSome(blockOf(causes))
	if err != nil {
		return err
	}
	s, err := f.Job.survey()
	if err != nil {
		return err
	}
	q, err := queued(screened)
	if err != nil {
		return err
	}
	defer q.close()
	var m pipeline.Marked
	for of, to := range map[uint32]*[][]byte{ofMarks: &m.Followed, ofCounts: &m.Counts, ofSigns: &m.Signs} {
		if *to, err = f.Job.framed(q.marked[of]); err != nil {
			return err
		}
	}
	var out judged
	err = f.Job.write("findings.csv", func(w io.Writer) error {
		var err error
		out.Whole, err = s.Judge(ctx, k, said, m, q.inOrder(&f.Job), f.Job.Shards, w, func(p pipeline.Part) error {
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

// queue is parts that wait in a file, as they came.
type queue struct {
	file    *os.File
	size    int64
	waiting []waiting
	marked  map[uint32][]byte // framed, by what they are
}

// waiting is where a part stands.
type waiting struct {
	number uint32
	at     int64
	size   int
}

func queued(parts side) (*queue, error) {
	file, err := store.Temporary(os.TempDir(), "parts-*.tmp")
	if err != nil {
		return nil, err
	}
	q := &queue{file: file, marked: map[uint32][]byte{}}
	var block []byte
	for parts(&block) {
		if len(block) < 4 {
			return nil, errors.Join(errBlock, q.close())
		}
		number := binary.BigEndian.Uint32(block)
		if number >= ofSigns {
			q.marked[number] = append(q.marked[number], block[4:]...)
			continue
		}
		if _, err := q.file.Write(block[4:]); err != nil {
			return nil, errors.Join(err, q.close())
		}
		q.waiting = append(q.waiting, waiting{number, q.size, len(block) - 4})
		q.size += int64(len(block) - 4)
	}
	slices.SortFunc(q.waiting, func(a, b waiting) int { return cmp.Compare(a.number, b.number) })
	return q, nil
}

func (q *queue) close() error { return store.Away(q.file) }

// inOrder returns the parts as Judge takes them. A part that came twice, from
// a bundle that the runner tried again, counts once.
func (q *queue) inOrder(j *job) iter.Seq2[[]byte, error] {
	return func(yield func([]byte, error) bool) {
		for i, w := range q.waiting {
			if i > 0 && w.number == q.waiting[i-1].number {
				continue
			}
			block := make([]byte, w.size)
			_, err := q.file.ReadAt(block, w.at)
			if err == nil {
				block, err = j.unseal(block)
			}
			if !yield(block, err) || err != nil {
				return
			}
		}
	}
}

// write makes a file of the outputs: under another name first, so that a bundle
// that is tried again, here or on another machine, leaves one whole file.
func (j *job) write(name string, write func(io.Writer) error) error {
	path := filepath.Join(j.Prepared, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".*.tmp")
	if err != nil {
		return err
	}
	err = errors.Join(write(f), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
