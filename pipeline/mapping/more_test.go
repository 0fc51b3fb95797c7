package mapping

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

// aLongTable has sections, blanks that mean "as above", labels above it and a
// label that nothing matches.
func aLongTable(r *rand.Rand, rows int) *record.Table {
	var lines [][]string
	section := []string{}
	for i := range rows {
		if r.IntN(6) == 0 {
			section = [][]string{{}, {"section: Holm"}, {"section: Tern", "Moon: full"}, {"Site: Mead", "section: north"}, {"Moon: new"}}[r.IntN(5)]
		}
		lines = append(lines, append([]string{fmt.Sprint(i), []string{"", "", "Mead", "Holm"}[r.IntN(4)]}, section...))
	}
	for i, l := range []string{"section: Holm", "Moon: full", "Site: Tern"} { // all names near the beginning
		lines[i] = append(lines[i][:2:2], l)
	}
	t := labelled([]record.Label{label("Site", "Mead", 1, 1), label("Weather", "clear", 2, 5)}[:r.IntN(3)], lines...)
	t.Columns = append(t.Columns, record.Column{Heading: "Ring", Parts: []string{"Ring"}, Number: 3})
	for i := range t.Rows {
		row := &t.Rows[i]
		row.Cells = append(row.Cells, record.Cell{Text: []string{"", "x"}[r.IntN(2)], Row: row.Number, Column: 3})
	}
	return t
}

// Rows that are mapped in chunks are those that are mapped at once.
func TestMoreMapsAsApply(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 9))
		known := Known{Repeatable: func(term string) bool { return seed%2 == 0 && term == "locality" }}
		whole := aLongTable(r, 8+r.IntN(60))
		parts := *whole
		parts.Columns, parts.Rows = slices.Clone(whole.Columns), slices.Clone(whole.Rows)
		rest := parts.Rows[4:]
		parts.Rows = parts.Rows[:4:4]

		want, err := Apply(m, whole, known)
		if err != nil {
			t.Fatal(err)
		}
		a, got, err := Begin(m, &parts, known)
		if err != nil {
			t.Fatal(err)
		}
		for len(rest) > 0 {
			n := min(len(rest), 1+r.IntN(10))
			chunk := slices.Clone(rest[:n])
			if err := a.More(chunk); err != nil {
				t.Fatal(err)
			}
			parts.Rows = append(parts.Rows, chunk...)
			rest = rest[n:]
		}
		got = append(got, a.End()...)
		record.SortFindings(got)
		record.SortFindings(want)
		if d := cmp.Diff(*whole, parts) + cmp.Diff(want, got); d != "" {
			t.Fatalf("seed %d: %s", seed, d)
		}
	}
}

func TestMoreRefusesANewName(t *testing.T) {
	m, err := parseAny(t, places)
	if err != nil {
		t.Fatal(err)
	}
	a, _, err := Begin(m, labelled(nil, []string{"1", "Mead"}), Known{})
	if err != nil {
		t.Fatal(err)
	}
	err = a.More(labelled(nil, []string{"2", "Mead", "section: Holm"}).Rows)
	var n *NewLabel
	if !errors.As(err, &n) || n.Row != 4 || !strings.Contains(err.Error(), "f.csv, A100") {
		t.Errorf("got %v", err)
	}
}
