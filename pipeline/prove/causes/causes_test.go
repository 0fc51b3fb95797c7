package causes

import (
	"fmt"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// A cause names its first cells and counts all of them, each once.
func TestCauseOfManyCells(t *testing.T) {
	at := func(row, column int) record.Address { return record.Address{File: "a.csv", Row: row, Column: column} }
	of := func(cell record.Address, row int) Doubt {
		return Doubt{record.Finding{Rule: "quality-validation", Reference: "VALIDATION_X", Field: "sex", Value: "both", Reason: "no", At: cell}, OwnCell, cell.Row == row}
	}
	g := New()
	g.named = 5
	for row := range 100 {
		g.Add(of(at(row+1, 3), row+1))
	}
	for row := 100; row < 200; row++ { // ten labels, each over ten rows
		g.Add(of(at(row/10*10, 9), row+1))
	}
	got := g.Findings()
	if len(got) != 1 || len(got[0].Also) != 5 || got[0].Also[4] != at(6, 3) || got[0].Reason != "no; 110 cells in all, of which the first 6 are named" {
		t.Errorf("%+v", got)
	}
	few := New()
	for _, row := range []int{3, 3, 2, 3, 2} { // the label of a table whose captures are columns
		few.Add(of(at(3, 1), row))
	}
	if got := few.Findings(); len(got) != 1 || got[0].Also != nil || got[0].Reason != "no; 5 captures have it" {
		t.Errorf("%+v", got)
	}
}

// Causes that are too many are given out before the next part, and come again
// as findings of their own.
func TestTooManyCauses(t *testing.T) {
	g := New()
	g.causes = 3
	add := func(from, to int) {
		for i := from; i < to; i++ {
			g.Add(Doubt{record.Finding{Rule: "quality-validation", Reference: "VALIDATION_X", Value: fmt.Sprint("v", i), At: record.Address{File: "a.csv", Row: i + 1, Column: 1}}, OwnCell, true})
		}
	}
	values := func(fs []record.Finding) (out []string) {
		for _, f := range fs {
			out = append(out, f.Value)
		}
		return out
	}
	add(0, 5)
	if got := values(g.Findings()); !slices.Equal(got, []string{"v0", "v1", "v2", "v3", "v4"}) {
		t.Errorf("one part: %v", got)
	}
	if got := values(g.Spill()); !slices.Equal(got, []string{"v3", "v4"}) {
		t.Errorf("before the second part: %v", got)
	}
	add(2, 5)
	if got := values(g.Findings()); !slices.Equal(got, []string{"v0", "v1", "v2", "v3", "v4"}) {
		t.Errorf("second part: %v", got)
	}
	if got := values(g.Spill()); !slices.Equal(got, []string{"v3", "v4"}) || g.found[2].rows != 2 {
		t.Errorf("before the third part: %v, %+v", got, g.found)
	}
}
