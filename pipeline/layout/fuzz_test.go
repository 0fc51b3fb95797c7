package layout_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

// FuzzFind reads any text as a sheet, lines as rows and | between cells, under
// any options. Find never panics, loses nothing, keeps what record.Table
// promises and leaves the sheet as it is.
func FuzzFind(f *testing.F) {
	files, _ := filepath.Glob("testdata/layouts/*.txt")
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		for i, text := range strings.Split(string(b), "\n## ")[1:] {
			sheet, _, _ := strings.Cut(text, "\n->\n")
			_, sheet, _ = strings.Cut(sheet, "\n")
			f.Add(sheet, uint8(i))
		}
	}
	f.Fuzz(func(t *testing.T, text string, options uint8) {
		if len(text) > 4000 || strings.ContainsRune(text, '\x00') {
			return
		}
		s := rawPaper(text)
		o := someOptions(rand.New(rand.NewPCG(uint64(options), 1)))
		before := show(s)
		tables, findings := layout.Find(s, o)
		if out := lost(s, o, tables, findings); len(out) > 0 {
			t.Errorf("lost %q\n%s", out, draw(tables, findings))
		}
		whole(t, tables)
		if show(s) != before {
			t.Error("the sheet was changed")
		}
	})
}

// rawPaper is paper without trimming: lines of cells parted by |.
func rawPaper(text string) record.Sheet {
	s := record.Sheet{File: "notes.csv"}
	for i, line := range strings.Split(text, "\n") {
		r := record.Row{Number: i + 1}
		if line != "" {
			for k, cell := range strings.Split(line, "|") {
				r.Cells = append(r.Cells, cellOf(cell, i+1, k+1))
			}
		}
		s.Rows = append(s.Rows, r)
	}
	return s
}
