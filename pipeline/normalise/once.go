package normalise

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// gathered holds findings that have one cause: the same word, written many times
// in one column, is one finding with the list of its cells. Errors on numbers stay
// apart, since each of them has to be corrected by itself, unless they are the habit
// of the column; notes that say the same of different values come together too.
//
// The zero value holds all of them. With most set it is for a table that comes
// in chunks: what stays apart is given back at once, and no more than so many
// findings and addresses are held.
type gathered struct {
	first map[cause]int
	out   []record.Finding
	cells []int // of each finding
	rows  []int // of each finding; more than its cells where rows share one
	also  int   // addresses held
	most  most
}

type cause struct {
	rule, field, value, reason string
}

// ofColumn are the rules on the habit of a column, whose first cell is an
// example.
var ofColumn = map[string]bool{"date-two-digit-year": true, "date-order-ambiguous": true, oneCoordinate: true, "coordinates-without-zone": true, "coordinates-of-grid": true, nightUndecided: true, "absence-of-what": true, "absence-unsought": true, fullCircle: true}

const (
	oneCoordinate = "coordinates-one-column"
	fullCircle    = "coordinates-full-circle"
)

func causeOf(f *record.Finding) cause {
	switch {
	case ofColumn[f.Rule]:
		return cause{rule: f.Rule, field: f.Field}
	case f.Level == record.Note:
		return cause{rule: f.Rule, field: f.Field, reason: f.Reason}
	}
	return cause{rule: f.Rule, field: f.Field, value: f.Value, reason: f.Reason}
}

// staysApart reports whether a finding is not gathered: an error on several cells of a
// row, or on a number. A word that comes again stands for the same each time.
func staysApart(f *record.Finding) bool {
	return f.Level == record.Error && !ofColumn[f.Rule] && (len(f.Also) > 0 || strings.ContainsAny(f.Value, "0123456789"))
}

// most bounds what is held of a table that comes in chunks.
type most struct{ causes, addresses, ofOne int }

var maxHeld = most{causes: 10_000, addresses: 200_000, ofOne: 10_000}

func (g *gathered) bounded() bool { return g.most.causes > 0 }

// add takes a finding, and reports whether it is held.
func (g *gathered) add(from *record.Finding) bool {
	f := *from
	k := causeOf(&f)
	i, again := g.first[k]
	apart := staysApart(&f)
	switch {
	case !apart && (f.Value != "" || ofColumn[f.Rule]) && again:
		g.rows[i]++
		if g.again(i, f.At) {
			g.rewrite(i, f.At, f.Suggestion)
		}
		for _, at := range f.Also {
			g.again(i, at)
		}
		return true
	case g.bounded() && (apart || len(g.out) >= g.most.causes):
		return false
	}
	if g.bounded() {
		f = lasting(f)
		k = causeOf(&f)
	}
	if !apart {
		if g.first == nil {
			g.first = map[cause]int{}
		}
		g.first[k] = len(g.out)
	}
	g.out, g.cells, g.rows = append(g.out, f), append(g.cells, 1+len(f.Also)), append(g.rows, 1)
	g.rewrite(len(g.out)-1, f.At, f.Suggestion)
	return true
}

// again counts one more cell of a finding that is held, unless rows share it, and
// reports whether it is named.
func (g *gathered) again(i int, at record.Address) bool {
	f := &g.out[i]
	if at == f.At || len(f.Also) > 0 && at == f.Also[len(f.Also)-1] {
		return false
	}
	g.cells[i]++
	if g.bounded() && (g.also >= g.most.addresses || len(f.Also) >= g.most.ofOne) {
		return false
	}
	g.also++
	f.Also = append(f.Also, at)
	return true
}

// rewrite notes what one of the cells of a column would be.
func (g *gathered) rewrite(i int, at record.Address, text string) {
	if f := &g.out[i]; text != "" && ofColumn[f.Rule] {
		f.Rewrites = append(f.Rewrites, record.Rewrite{At: at, Text: strings.Clone(text)})
	}
}

// lasting is a finding that holds no part of the chunk that it was made from.
func lasting(f record.Finding) record.Finding {
	f.Value, f.Capture, f.Suggestion = strings.Clone(f.Value), strings.Clone(f.Capture), strings.Clone(f.Suggestion)
	return f
}

// end returns the findings with the number of their cells.
func (g *gathered) end() []record.Finding {
	g.joinWords()
	for i := range g.out {
		if g.rows[i] > g.cells[i] {
			g.out[i].Reason += fmt.Sprintf("; it applies to %d rows", g.rows[i])
		}
		g.out[i].Gather(g.cells[i])
	}
	return g.out
}
