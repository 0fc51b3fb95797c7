package normalise_test

import (
	"bytes"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/normalise"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sheet"
)

// onPages puts the headings of a text over every fiftieth line again, with the
// names of ponds between.
func onPages(text []byte) []byte {
	lines := strings.SplitAfter(string(text), "\n")
	var out strings.Builder
	for i, line := range lines {
		switch {
		case i > 0 && i%50 == 0:
			out.WriteString("\n" + lines[0])
		case i%70 == 5:
			out.WriteString("Observer: A. Varga\n")
		}
		out.WriteString(line)
	}
	return []byte(out.String())
}

// wholly takes a text to captures at once, and its findings.
func wholly(t *testing.T, text []byte, m *mapping.Mapping, known mapping.Known) ([]*record.Capture, []record.Finding) {
	t.Helper()
	s, found, err := sheet.ReadText("t.csv", bytes.NewReader(text), sheet.Options{})
	must(t, err)
	tables, fs := layout.Find(s, layout.Options{IsHeading: m.Matcher(known)})
	found = append(found, fs...)
	fs, err = mapping.Apply(m, &tables[0], known)
	must(t, err)
	captures, more := normalise.Table(&tables[0], benchContext(t, m))
	return captures, append(append(found, fs...), more...)
}

// inChunks takes it to captures a chunk at a time.
func inChunks(t *testing.T, path string, r *rand.Rand, m *mapping.Mapping, known mapping.Known) (captures []*record.Capture, found []record.Finding) {
	t.Helper()
	f, found, err := sheet.Open("t.csv", path, sheet.Options{})
	must(t, err)
	defer f.Close()
	rows, err := f.Next(1000)
	must(t, err)
	tables, more, fs := layout.Begin(record.Sheet{File: "t.csv", Rows: rows}, layout.Options{IsHeading: m.Matcher(known)})
	found = append(found, fs...)
	table := &tables[0]
	applied, fs, err := mapping.Begin(m, table, known)
	must(t, err)
	found = append(found, fs...)
	reading := normalise.Begin(table, benchContext(t, m))
	take := func(rows []record.TableRow) {
		cs, fs := reading.Add(rows)
		captures, found = append(captures, cs...), append(found, fs...)
	}
	take(table.Rows)
	for {
		rows, err := f.Next(1 + r.IntN(900))
		if err == io.EOF {
			break
		}
		must(t, err)
		laid, fs, err := more.More(rows)
		must(t, err)
		must(t, applied.More(laid))
		take(laid)
		found = append(found, fs...)
	}
	laid, fs, err := more.End()
	must(t, err)
	must(t, applied.More(laid))
	take(laid)
	cs, last := reading.End()
	found = append(append(append(found, fs...), applied.End()...), last...)
	return append(captures, cs...), append(found, f.Findings()...)
}

// A file that is read in chunks, all the way, gives the captures and the findings
// that it gives as a whole.
func TestFileInChunks(t *testing.T) {
	m := benchMapped(t)
	known := mapping.Known{HeadingParts: quantity.HeadingUnit}
	for name, text := range map[string][]byte{"plain": someText(4000), "on pages": onPages(someText(4000))} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "t.csv")
			must(t, os.WriteFile(path, text, 0o600))
			want, wantFound := wholly(t, text, m, known)
			got, found := inChunks(t, path, rand.New(rand.NewPCG(1, 1)), m, known)
			record.SortFindings(wantFound)
			record.SortFindings(found)
			if !reflect.DeepEqual(want, got) || !reflect.DeepEqual(wantFound, found) {
				if d := cmp.Diff(want, got, cmpopts.EquateEmpty()) + cmp.Diff(wantFound, found, cmpopts.EquateEmpty()); d != "" {
					t.Error(d)
				}
			}
			if len(got) != 4000 {
				t.Errorf("%d captures", len(got))
			}
		})
	}
}
