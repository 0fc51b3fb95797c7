package pipeline_test

import (
	"context"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record/need"
)

// later lets every file of a folder be as old as most sheets are.
func later(t *testing.T, dir string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		old := time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)
		if err := os.Chtimes(filepath.Join(dir, e.Name()), old, old); err != nil {
			t.Fatal(err)
		}
	}
}

// at returns a progress that does something at one stage.
func at(stage string, do func()) func(string) {
	return func(s string) {
		if s == stage {
			do()
		}
	}
}

// sameButNew writes a file anew as it was.
func sameButNew(t *testing.T, path string) { write(t, path, read(t, path)) }

// lastByte changes the last byte of a file and nothing else, and puts its time
// back.
func lastByte(t *testing.T, path string) {
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	text := []byte(read(t, path))
	text[len(text)-1] ^= 1
	write(t, path, string(text))
	if err := os.Chtimes(path, info.ModTime(), info.ModTime()); err != nil {
		t.Fatal(err)
	}
}

// Of a sheet, a workbook, a table, the survey and a mapping alike: what changes
// while the run lasts is noticed, and nothing is released.
func TestInputsThatChangeAreNoticed(t *testing.T) {
	out := t.TempDir()
	runDemo(t, out)
	before := files(t, out)
	for _, c := range []struct {
		what, file, stage string
		fresh             bool // the file was written just before the run
		do                func(t *testing.T, path string)
		says              string // empty: the run goes on
	}{
		{"a row more", "june-2024-reyes.csv", "screen", false, func(t *testing.T, p string) { write(t, p, read(t, p)+"x\n") }, "changed while it was being read"},
		{"a row more at the end", "june-2024-reyes.csv", "guard", false, func(t *testing.T, p string) { write(t, p, read(t, p)+"x\n") }, "changed while it was being read"},
		{"another digit, time put back", "june-2024-reyes.csv", "screen", true, lastByte, "changed while it was being read"},
		{"another digit of an old file, time put back", "june-2024-reyes.csv", "screen", false, lastByte, "changed while it was being read"},
		{"another byte of a workbook", "marrow-2023.xlsx", "screen", true, lastByte, "changed while it was being read"},
		{"gone", "marrow-2023.xlsx", "standardise", false, func(t *testing.T, p string) { _ = os.Remove(p) }, "it is gone"},
		{"another name", "checklist.csv", "infer", false, func(t *testing.T, p string) { write(t, p, read(t, p)+"\n") }, "changed while it was being read"},
		{"another threshold", "survey.yaml", "report", false, func(t *testing.T, p string) { write(t, p, read(t, p)+"\n") }, "changed while it was being read"},
		{"another meaning", "june.yaml", "prove", false, func(t *testing.T, p string) { write(t, p, read(t, p)+"\n") }, "changed while it was being read"},
		{"saved as it was", "june-2024-reyes.csv", "screen", false, sameButNew, ""},
		{"saved as it was just before and now", "marrow-2023.xlsx", "screen", true, sameButNew, ""},
	} {
		t.Run(c.what, func(t *testing.T) {
			dir := demoCopy(t, nil)
			if !c.fresh {
				later(t, dir)
			}
			_, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{Version: "test",
				Progress: at(c.stage, func() { c.do(t, filepath.Join(dir, c.file)) })})
			if c.says == "" && err != nil {
				t.Error(err)
			}
			var input *pipeline.InputError
			if c.says != "" && (!errors.As(err, &input) || input.File != c.file || !strings.Contains(err.Error(), c.file) || !strings.Contains(err.Error(), c.says)) {
				t.Errorf("got %v", err)
			}
			if after := files(t, out); !maps.EqualFunc(before, after, func(a, b []byte) bool { return string(a) == string(b) }) {
				t.Error("what was there before is not unchanged")
			}
		})
	}
}

func TestInputsThatChangeAreNoticedByObservers(t *testing.T) {
	dir, out := t.TempDir(), filepath.Join(t.TempDir(), "out")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(need.Root(t), "testdata", "training"))); err != nil {
		t.Fatal(err)
	}
	later(t, dir)
	known := filepath.Join(dir, "known.csv")
	_, err := pipeline.Observe(context.Background(), dir, out, pipeline.Options{
		Progress: at("compare", func() { write(t, known, read(t, known)+"\n") })})
	var input *pipeline.InputError
	if !errors.As(err, &input) || input.File != "known.csv" {
		t.Errorf("got %v", err)
	}
	if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the output folder is there: %v", err)
	}
}
