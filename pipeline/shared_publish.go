//go:build !onemachine

package pipeline

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"

	"spadefoot/pipeline/account"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/undecided"
)

// Shard is what is said of a shard that was published.
type Shard struct {
	Number   int
	Captures int
	Counts   prove.Counts
	LeftOut  int                      // values that are not published since nobody decided on them
	Findings []record.Finding         // of its proof
	Refused  string                   // why it may not be released; empty where it passed
	Cells    map[int][]account.Counts // by table, of those that have captures in the shard
	Gathered []byte
}

// JoinColumns joins the columns that parts need.
func JoinColumns(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	var g darwincore.Gathered
	for block, err := range blocks {
		var one darwincore.Gathered
		if err == nil {
			err = one.UnmarshalBinary(block)
		}
		if err != nil {
			return nil, err
		}
		g.Join(&one)
	}
	return g.MarshalBinary()
}

// Publish writes the parts of a shard as an archive of its own into a folder
// that exists, and proves it. The columns are those of all parts. A shard that
// does not pass its proof says so; the error is one of files.
func (s *Shared) Publish(ctx context.Context, dir string, number int, whole *Whole, columns []byte, parts iter.Seq2[Part, error]) (*Shard, error) {
	var g darwincore.Gathered
	if err := g.UnmarshalBinary(columns); err != nil {
		return nil, err
	}
	w := *s.walk
	w.laid, w.computed = receivedTables(whole.Tables), whole.Computed
	archive, err := darwincore.Create(dir, w.dataset(), w.label)
	if err != nil {
		return nil, w.archiveError(err)
	}
	defer archive.Discard()
	book := w.emptyBook()
	archive.Watch(book)
	archive.Fix(&g)
	out := &Shard{Number: number}
	for p, err := range parts {
		if err != nil {
			return nil, err
		}
		captures, err := store.Unpack(p.Data)
		if err != nil {
			return nil, err
		}
		out.Captures += len(captures)
		for _, c := range captures {
			out.LeftOut += undecided.Count(c)
			if err := w.sample.Add(c); err != nil {
				return nil, err
			}
		}
		if err := archive.AddPart(captures); err != nil {
			return nil, err
		}
	}
	counts, err := archive.Close()
	if err != nil {
		return nil, err
	}
	if out.Gathered, err = archive.Gathered().MarshalBinary(); err != nil {
		return nil, err
	}
	out.Counts = prove.Counts(counts)
	out.Cells = map[int][]account.Counts{}
	for k, t := range w.laid {
		cells, some := make([]account.Counts, len(t.table.Columns)), false
		for i := range cells {
			cells[i] = book.Column(t.table, i)
			some = some || cells[i] != account.Counts{}
		}
		if some {
			out.Cells[k] = cells
		}
	}
	return out, s.proveShard(ctx, dir, out, errors.Join(w.sample.Check(), book.Lost()))
}

// emptyBook is a book that has the tables and none of their cells.
func (w *walk) emptyBook() *account.Book {
	book := account.New()
	for _, t := range w.laid {
		book.Add(t.table, nil, nil, w.survey.Sheets[t.ref].Map.Remarks)
	}
	return book
}

// proveShard reads a shard back.
func (s *Shared) proveShard(ctx context.Context, dir string, out *Shard, wrong error) error {
	if out.Captures != out.Counts.Occurrences {
		wrong = errors.Join(wrong, fmt.Errorf("%d captures went in and %d occurrences came out", out.Captures, out.Counts.Occurrences))
	}
	var err error
	out.Findings, err = prove.Archive(ctx, filepath.Join(dir, darwincore.Folder), out.Counts, prove.Options{TempDir: dir})
	var refused *prove.RefusedError
	switch {
	case errors.As(err, &refused):
		wrong = errors.Join(wrong, err)
	case err != nil:
		return err
	}
	if wrong != nil {
		out.Refused = wrong.Error()
	}
	return nil
}

// Complete writes meta.xml and eml.xml of all shards into a folder, whose files
// they name, and returns what is wrong with the whole, so that it must not be
// released: cells and captures that are not accounted for.
func (s *Shared) Complete(dir string, whole *Whole, shards []*Shard, files darwincore.ShardFiles) (wrong []string, err error) {
	w := *s.walk
	w.laid, w.computed = receivedTables(whole.Tables), whole.Computed
	book := account.New()
	for _, t := range w.laid {
		book.Add(t.table, t.filled, t.dropped, w.survey.Sheets[t.ref].Map.Remarks)
	}
	var g darwincore.Gathered
	captures := 0
	for _, one := range shards {
		var gathered darwincore.Gathered
		if err := gathered.UnmarshalBinary(one.Gathered); err != nil {
			return nil, err
		}
		g.Join(&gathered)
		captures += one.Captures
		for k, t := range w.laid {
			for i, c := range one.Cells[k] {
				book.Enter(t.table, i, c)
			}
		}
	}
	if err := book.Settle(); err != nil {
		wrong = append(wrong, err.Error())
	}
	if captures != whole.Counts.Captures {
		wrong = append(wrong, fmt.Sprintf("%d captures were judged and %d are in the shards", whole.Counts.Captures, captures))
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	return wrong, darwincore.Describe(dir, w.dataset(), &g, files)
}
