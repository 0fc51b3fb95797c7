package main

import (
	"bytes"
	"cmp"
	"context"
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

// judge is the one step in order: all pieces, of one key, to parts by shard.
// Pieces come in any order and wait in a file of this machine.
type judge struct{ Job job }

// judged is what is said of all captures, on its way.
type judged struct {
	Whole   *pipeline.Whole
	Between between
}

// between is how much went between the steps.
type between struct {
	Pieces     int   `json:"pieces"`
	PieceBytes int64 `json:"pieceBytes"` // all of them of the one key of judge
	Parts      int   `json:"parts"`
	PartBytes  int64 `json:"partBytes"`
}

func (f *judge) ProcessElement(ctx context.Context, _ int, pieces func(*[]byte) bool, part func(int, []byte), whole func([]byte)) error {
	s, back, err := f.Job.survey()
	if err != nil {
		return err
	}
	defer back()
	q, err := queued(pieces)
	if err != nil {
		return err
	}
	defer q.close()
	out := judged{Between: between{Pieces: len(q.waiting), PieceBytes: q.size}}
	err = f.Job.write("findings.csv", func(w io.Writer) error {
		var err error
		out.Whole, err = s.Judge(ctx, q.inOrder(&f.Job), f.Job.Shards, w, func(p pipeline.Part) error {
			block, err := f.Job.packPart(p)
			if err == nil {
				out.Between.Parts++
				out.Between.PartBytes += int64(len(block))
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

// queue is pieces that wait in a file, as they came.
type queue struct {
	file    *os.File
	size    int64
	waiting []waiting
}

// waiting is where a piece stands.
type waiting struct {
	head pieceHead
	at   int64
	size int
}

func queued(pieces func(*[]byte) bool) (*queue, error) {
	file, err := store.Temporary(os.TempDir(), "pieces-*.tmp")
	if err != nil {
		return nil, err
	}
	q := &queue{file: file}
	var block []byte
	for pieces(&block) {
		head, _, err := openPiece(block)
		if err == nil {
			_, err = q.file.Write(block)
		}
		if err != nil {
			return nil, errors.Join(err, q.close())
		}
		q.waiting = append(q.waiting, waiting{head, q.size, len(block)})
		q.size += int64(len(block))
	}
	slices.SortFunc(q.waiting, func(a, b waiting) int { return a.head.compare(b.head) })
	return q, nil
}

func (q *queue) close() error { return store.Away(q.file) }

// inOrder returns the pieces as Judge takes them. A piece that came twice, from
// a bundle that the runner tried again, counts once.
func (q *queue) inOrder(j *job) iter.Seq2[pipeline.Piece, error] {
	return func(yield func(pipeline.Piece, error) bool) {
		for i, w := range q.waiting {
			if i > 0 && w.head == q.waiting[i-1].head {
				continue
			}
			block := make([]byte, w.size)
			_, err := q.file.ReadAt(block, w.at)
			var p pipeline.Piece
			if err == nil {
				p, err = j.unpackPiece(block)
			}
			if !yield(p, err) || err != nil {
				return
			}
		}
	}
}

// compare puts pieces into the order of their sheets, what is said of a sheet
// first.
func (h pieceHead) compare(o pieceHead) int {
	return cmp.Or(cmp.Compare(h.Sheet, o.Sheet), cmp.Compare(min(h.Number, 0), min(o.Number, 0)),
		cmp.Compare(h.Attempt, o.Attempt), cmp.Compare(h.Number, o.Number))
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
