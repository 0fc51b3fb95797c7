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

// TestOnceWrong reads sheets that were found to go wrong once, under many
// options.
func TestOnceWrong(t *testing.T) {
	for name, text := range map[string]string{
		"went round for ever over headings merged downwards": "|Date|do.|Bufo\n61.5|left\n12:30|-|Plot: 3|♂|33 g\n|Date|do.|Bufo\nSE\nNo|SVL|Mass\nNo|SVL|Mass\n|Date|do.|Bufo\n2|1|MC-7|M|g\n\n\nmm|é|Tibia|=|♂\n|Date|do.|Bufo\n",
		"lost what stood beside headings that were repeated": "No|SVL|Mass||No|SVL|Mass\nNo|SVL|Mass||No|SVL|Mass\nmm|SVL|left|Mass\nDate\nNo|SVL|Mass\nSite|No|2021",
		"took the stated headings for repeated ones":         "2022\nNo|SVL|Mass\nNo|SVL|Mass\nDate: |n|MC-7|M|mean|3|Marrow Creek frogs|Marrow Creek frogs\n2||(g)|\n2022\nRana|No|?|Rana|Bufo|33 g\n-",
	} {
		for options := range 200 {
			s := rawPaper(text)
			o := someOptions(rand.New(rand.NewPCG(uint64(options), 1)))
			tables, findings := layout.Find(s, o)
			if out := lost(s, o, tables, findings); len(out) > 0 {
				t.Errorf("%s: lost %q", name, out)
			}
			whole(t, tables)
		}
	}
}
