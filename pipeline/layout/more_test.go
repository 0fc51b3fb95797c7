package layout_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// inChunks lays a sheet out by its first rows and then in chunks of any size.
// It returns no tables where the layout cannot be told so.
func inChunks(r *rand.Rand, s record.Sheet, window int, o layout.Options) ([]record.Table, []record.Finding, error) {
	rows := s.Rows
	first := s
	first.Rows = rows[:min(window, len(rows))]
	rows = rows[len(first.Rows):]
	tables, more, findings := layout.Begin(first, o)
	if more == nil {
		return nil, nil, nil
	}
	last := &tables[len(tables)-1]
	for len(rows) > 0 {
		n := min(len(rows), 1+r.IntN(300))
		out, fs, err := more.More(rows[:n:n])
		if err != nil {
			return nil, nil, err
		}
		rows = rows[n:]
		last.Rows = append(last.Rows, out...)
		findings = append(findings, fs...)
	}
	out, fs, err := more.End()
	if err != nil {
		return nil, nil, err
	}
	last.Rows = append(last.Rows, out...)
	last.Rectangle = more.Rectangle()
	findings = append(findings, fs...)
	record.SortFindings(findings)
	return tables, findings, nil
}

// manyCaptures invents a long season.
func manyCaptures(r *rand.Rand, n int) []caught {
	var out []caught
	for len(out) < n {
		for _, c := range someCaptures(r) {
			c.no = fmt.Sprint(len(out) + 1)
			out = append(out, c)
		}
	}
	return out
}

// pages writes a page's title and the headings again every forty rows, and now
// and then blank rows.
func pages(cs []caught) []string {
	var lines []string
	for i, c := range cs {
		if i%40 == 0 {
			lines = append(lines, "", "Frogs of Marrow Creek, page "+fmt.Sprint(1+i/40), strings.Join(allHeadings, "|"))
		}
		lines = append(lines, row(c, allHeadings))
		if i%17 == 0 {
			lines = append(lines, "", "", "")
		}
	}
	return lines[1:]
}

// A sheet that is laid out in chunks has the tables and the findings that it has
// as a whole, wherever it is cut.
func TestChunksAreLaidOutAsTheWhole(t *testing.T) {
	layouts := map[string]func([]caught) []string{"pages": pages,
		"blanks": func(cs []caught) []string { return again(cs, "", "Site", "Species") }}
	for _, name := range []string{"plain", "titled", "headings of three rows", "merged headings over numbers", "named sections", "plain sections",
		"days as sections", "dittos", "headings again, sums and remarks"} {
		layouts[name] = writers[name]
	}
	for name, write := range layouts {
		t.Run(name, func(t *testing.T) {
			for seed := range uint64(need.Times(3, 8)) {
				r := rand.New(rand.NewPCG(seed, 11))
				s := paper(write(manyCaptures(r, 1000+r.IntN(500)))...)
				for _, o := range []layout.Options{{}, {IsHeading: station}, {SkipRows: []int{700, 701, 900}, LastRow: 1000}} {
					if name == "blanks" && len(o.SkipRows) > 0 {
						continue // a value that is left out takes the evidence for carrying with it
					}
					sameInChunks(t, r, s, o)
				}
			}
		})
	}
}

func sameInChunks(t *testing.T, r *rand.Rand, s record.Sheet, o layout.Options) {
	t.Helper()
	want, wantFindings := layout.Find(s, o)
	got, findings, err := inChunks(r, s, 300+r.IntN(600), o)
	if err != nil || got == nil {
		t.Fatalf("not laid out in chunks: %v", err)
	}
	if d := differ(want, got, wantFindings, findings); d != "" {
		t.Fatalf("options %+v: %s", o, d)
	}
}

// differ says what is not the same; most sheets are, which is told sooner.
func differ(want, got []record.Table, wantFindings, findings []record.Finding) string {
	if reflect.DeepEqual(want, got) && reflect.DeepEqual(wantFindings, findings) {
		return ""
	}
	return cmp.Diff(want, got, cmpopts.EquateEmpty()) + cmp.Diff(wantFindings, findings)
}

// A sheet without a heading for a column that is filled far down, with another
// table below, or whose blanks come to mean something else, ends in an error
// that names the row.
func TestChunksThatContradictTheWindow(t *testing.T) {
	long := func(more ...string) []string {
		return append(plain(manyCaptures(rand.New(rand.NewPCG(1, 1)), 1000)), more...)
	}
	carried := again(manyCaptures(rand.New(rand.NewPCG(2, 2)), 1000), "", "Date")
	at := len(carried) + 1
	gapped := func(more string) []string {
		var lines []string
		for _, line := range long() {
			cells := strings.Split(line, "|")
			lines = append(lines, strings.Join(append(append(cells[:2:2], ""), cells[2:]...), "|"))
		}
		return append(lines, more)
	}
	for _, c := range []struct {
		name  string
		lines []string
		row   int
		says  string
	}{
		{"a column without a heading", gapped("1001|3 May 2021|stray|Holm|Rana"), 0, "without a heading"},
		{"many cells right of the last column", long(slices.Repeat([]string{"1001|3 May 2021|Holm|Rana|F|61|61|20|30|5||stray"}, 1001)...), len(long()) + 1001, "to the right of the table's last column"},
		{"another table", long("", "Plot|Depth|Substrate|Canopy", "1|20|silt|open", "2|30|sand|shut", "3|20|silt|open"), 0, "another table"},
		{"a value twice in a carried column", append(carried, "1001|9 May 2021|Holm|Rana|F|61|61|20|30|5|", "1002|9 May 2021|Holm|Rana|F|61|61|20|30|5|"), at + 1, "twice in a row"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := inChunks(rand.New(rand.NewPCG(3, 3)), paper(c.lines...), 500, layout.Options{})
			var e *layout.Error
			if !errors.As(err, &e) || e.Row <= 1000 || c.row > 0 && e.Row != c.row || !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v", err)
			}
		})
	}
}

// A cell right of the last column is left out with its text in a finding.
func TestStraysInChunks(t *testing.T) {
	lines := append(plain(manyCaptures(rand.New(rand.NewPCG(1, 1)), 1000)), "9|3 May 2021|Holm|Rana|F|61|61|20|30|5|dry|warm")
	tables, findings, err := inChunks(rand.New(rand.NewPCG(3, 3)), paper(lines...), 500, layout.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows := tables[0].Rows
	if last := rows[len(rows)-1]; last.Cells[10].Text != "dry" || len(last.Cells) != 11 {
		t.Errorf("%+v", last)
	}
	if len(findings) != 1 || findings[0].Rule != "box-beside" || findings[0].Value != "warm" || findings[0].At.Row != len(lines) || findings[0].At.Column != 12 {
		t.Errorf("%+v", findings)
	}
}

// What cannot be told from a window is left to Find.
func TestLayoutsThatAWindowDoesNotTell(t *testing.T) {
	cs := manyCaptures(rand.New(rand.NewPCG(1, 1)), 1000)
	turnedRound := true
	for name, c := range map[string]struct {
		lines []string
		o     layout.Options
	}{
		"side by side":     {sideBySide(cs), layout.Options{}},
		"turned":           {plain(cs), layout.Options{Transposed: &turnedRound}},
		"short":            {plain(cs[:60]), layout.Options{}},
		"unknown headings": {plain(cs), layout.Options{IsHeading: unknown}},
		"a last row":       {plain(cs), layout.Options{LastRow: 40}},
	} {
		t.Run(name, func(t *testing.T) {
			if tables, more, findings := layout.Begin(paper(c.lines...), c.o); more != nil || tables != nil || findings != nil {
				t.Errorf("%d tables", len(tables))
			}
		})
	}
}

// Sheets at random are laid out in chunks as the whole is, or not at all.
func TestScribblesInChunks(t *testing.T) {
	told, failed := 0, 0
	for seed := range uint64(need.Times(150, 400)) {
		r := rand.New(rand.NewPCG(seed, 5))
		part := scribble(r, 6+r.IntN(40), 2+r.IntN(7))
		s := record.Sheet{File: part.File}
		for len(s.Rows) < 1500 {
			for _, p := range part.Rows {
				n := len(s.Rows) + 1
				copied := record.Row{Number: n}
				for _, c := range p.Cells {
					c.Row = n
					copied.Cells = append(copied.Cells, c)
				}
				s.Rows = append(s.Rows, copied)
			}
		}
		o := layout.Options{IsHeading: []func(string) bool{nil, station}[r.IntN(2)]}
		got, findings, err := inChunks(r, s, 600, o)
		if err != nil {
			failed++
			continue
		}
		if got == nil {
			continue
		}
		told++
		want, wantFindings := layout.Find(s, o)
		if d := differ(want, got, wantFindings, findings); d != "" {
			t.Errorf("seed %d: %s\n%s", seed, d, show(part))
		}
	}
	if told < need.Times(20, 50) {
		t.Errorf("%d laid out in chunks, %d errors", told, failed)
	}
}
