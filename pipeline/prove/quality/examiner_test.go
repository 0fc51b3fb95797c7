package quality

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// bareValues is a published row as a record has it: bare names, each once.
func bareValues(row dataRow) map[string]string {
	r, out := FromMap(row), map[string]string{}
	for name := range row {
		if text := r(bare(name)); text != "" {
			out[bare(name)] = text
		}
	}
	return out
}

// An examination finds what the tests find that look at the record anew, of all
// published rows, and of rows that are mixed from them so that texts come again
// in other company.
func TestExaminationFindsTheSame(t *testing.T) {
	p := Params{Today: dataDay}
	x := NewExaminer(p).Examination()
	var rows []map[string]string
	texts := map[string][]string{}
	for _, row := range validationData(t) {
		values := bareValues(row)
		rows = append(rows, values)
		for term, text := range values {
			texts[term] = append(texts[term], text)
		}
	}
	r := rand.New(rand.NewPCG(3, 3))
	names := slices.Sorted(maps.Keys(texts))
	for _, list := range texts {
		slices.Sort(list)
	}
	for range 1000 {
		row := map[string]string{}
		for _, term := range names {
			if r.IntN(3) > 0 {
				row[term] = texts[term][r.IntN(len(texts[term]))]
			}
		}
		rows = append(rows, row)
	}
	n := 0
	for i, row := range append(rows, rows...) {
		at := record.Address{File: "rows.csv", Row: i}
		want := Findings(FromMap(row), p, at, everyTerm)
		if diff := cmp.Diff(want, x.Findings(FromMap(row), at)); diff != "" {
			t.Fatalf("row %d: %s", i, diff)
		}
		n += len(want)
	}
	if n < 5000 {
		t.Errorf("%d findings only", n)
	}
}

// Every test looks at no terms but those that the table names for it, or its
// verdicts could not be remembered.
func TestTestsLookAtTheirTerms(t *testing.T) {
	e := NewExaminer(Params{Today: dataDay})
	x := e.Examination()
	for i, row := range validationData(t) {
		x.Findings(FromMap(row), record.Address{})
		for _, p := range e.panels {
			if _, alone := x.run(p); !alone {
				t.Errorf("row %d: a test of %s looks at other terms", i+1, table()[p.tests[0]].Label)
			}
		}
	}
	for _, slot := range e.slots {
		if slot >= 64*len(termSet{}) {
			t.Errorf("%d terms are too many for the set", len(e.slots))
		}
	}
}

// What is remembered is bounded, and what was used last is still known.
func TestRecent(t *testing.T) {
	var m recent
	for i := range 3 * maxRecent {
		m.put([]byte(fmt.Sprint(i)), []verdict{{test: i}})
		if _, ok := m.get([]byte("0")); !ok {
			t.Fatalf("what was asked for every time is forgotten after %d", i)
		}
	}
	if n := len(m.now) + len(m.old); n > 2*maxRecent {
		t.Errorf("%d are remembered", n)
	}
	for i := 3*maxRecent - 1000; i < 3*maxRecent; i++ {
		if v, ok := m.get([]byte(fmt.Sprint(i))); !ok || v[0].test != i {
			t.Fatalf("verdict %d: %v", i, v)
		}
	}
	long := make([]byte, longestKey+1)
	if m.put(long, nil); len(m.now) > maxRecent {
		t.Error("grown")
	}
	if _, ok := m.get(long); ok {
		t.Error("a long text is remembered")
	}
}
