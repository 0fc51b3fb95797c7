package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// What pages ask for is the same of a survey that is held and of one in parts.
func TestLookIsTheSameInParts(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join("..", "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	look := func(o Options) *Snapshot {
		l, err := Inspect(context.Background(), folder, o)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			if err := l.Close(); err != nil {
				t.Error(err)
			}
		})
		return l
	}
	held, parts := look(Options{}), look(Options{wholeRows: 1, partRows: 64})
	if n := parts.walk.store.Parts(); n < 3 {
		t.Fatalf("%d parts", n)
	}
	same := func(what string, a, b any) {
		t.Helper()
		if d := cmp.Diff(a, b); d != "" {
			t.Errorf("%s:\n%s", what, d)
		}
	}
	same("counts", held.Counts, parts.Counts)
	same("levels", held.Tally.Levels, parts.Tally.Levels)
	same("rows", held.Rows, parts.Rows)
	same("columns", held.Columns, parts.Columns)
	same("readings and values", [2]int{held.Readings, held.Values}, [2]int{parts.Readings, parts.Values})
	same("proposals", held.Proposals, parts.Proposals)
	doubts := func(l *Snapshot) (out []record.Finding) {
		for f, err := range l.Doubts() {
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, f)
		}
		return out
	}
	same("doubts", doubts(held), doubts(parts))
	season := func(l *Snapshot) string {
		page, err := l.Season()
		if err != nil {
			t.Fatal(err)
		}
		return string(page)
	}
	same("season", season(held), season(parts))
	for _, f := range doubts(held) {
		at := record.Address{File: f.At.File, Sheet: f.At.Sheet, Row: f.At.Row}
		a, b := held.Row(at), parts.Row(at)
		if len(a) == 0 {
			continue
		}
		aside := map[int]bool{} // columns that a capture does not hold
		for _, table := range held.Tables {
			for _, c := range table.Columns {
				if table.File == at.File && table.Sheet == at.Sheet && c.Meaning.Role == record.SetAside {
					aside[c.Number] = true
				}
			}
		}
		for i := range a {
			if len(b) == len(a) && !aside[a[i].At.Column] && a[i] != b[i] {
				t.Errorf("%s: %+v, in parts %+v", at, a[i], b[i])
			}
		}
		textA, err := held.RowText(at)
		textB, err2 := parts.RowText(at)
		if err != nil || err2 != nil || textA == "" || textA != textB {
			t.Errorf("%s holds %q, in parts %q (%v, %v)", at, textA, textB, err, err2)
		}
	}
}
