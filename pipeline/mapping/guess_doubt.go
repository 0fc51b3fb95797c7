package mapping

import (
	"fmt"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// withdrawal is a meaning that the data spoke against.
type withdrawal struct {
	candidate *candidate
	why       string // a clause
	ofUnit    bool   // nothing but the unit is missing
}

// contradicted is what a candidate's score becomes when the data speak against
// it.
const contradicted = -3

// assignTested assigns meanings and tests each against the data, withdraws
// those that fail, and assigns anew until all stand.
func (g *guesser) assignTested() {
	for {
		for _, it := range g.items {
			it.chosen = nil
		}
		g.assign()
		again := false
		for _, it := range g.items {
			if it.chosen == nil {
				continue
			}
			if why, ofUnit := g.doubt(it, it.chosen); why != "" {
				it.withdraw(why, ofUnit)
				again = true
			}
		}
		if !again {
			return
		}
	}
}

// withdraw takes its meaning from an item.
func (it *item) withdraw(why string, ofUnit bool) {
	it.withdrawn = append(it.withdrawn, withdrawal{it.chosen, why, ofUnit})
	it.chosen.score = contradicted
	it.chosen.reasons = append(it.chosen.reasons, "but "+why)
	it.chosen = nil
}

// trial holds a meaning that a column was given against the sheet.
type trial struct {
	*guesser
	*candidate
	meaning record.Meaning
	reading reading // of the heading
	it      *item
	p       *profile // of the item's first column
	kind    string   // of values that its term has
}

// objection is something in the sheet that speaks against a meaning.
type objection struct {
	when    func(t *trial) bool
	why     string               // a clause, with a place for each figure, as fmt.Sprintf has them
	figures func(t *trial) []any // nil for none
	ofUnit  bool                 // nothing but the unit is missing
}

// subject is a kind of meaning with the objections that can be raised against it.
type subject struct {
	of         func(t *trial) bool
	objections []objection
	further    func(t *trial) string // those that one expression does not say; nil for none
}

// subjects are gone through in this order: what is found first is said.
var subjects = []subject{
	{of: (*trial).anything, objections: againstAny},
	{of: (*trial).timed, objections: againstTimes},
	{of: (*trial).placed, objections: againstPlaces},
	{of: (*trial).personal, objections: againstPeople},
	{of: (*trial).numbered, objections: againstNumbers},
	{of: isMark, further: doubtMark},
	{of: (*trial).counted, objections: againstCounts},
	{of: (*trial).worded, objections: againstWords},
	{of: (*trial).weighed, objections: againstWeighing},
	{of: (*trial).measured, objections: againstOtherNumbers},
	{of: (*trial).measured, objections: againstUnstatedUnits},
	{of: (*trial).measured, objections: againstShortHeadings, further: doubtSize},
}

// doubt says what in the sheet speaks against a meaning, or "", and whether
// nothing but its unit is missing.
func (g *guesser) doubt(it *item, c *candidate) (why string, ofUnit bool) {
	t := &trial{guesser: g, candidate: c, meaning: c.meaning, reading: g.readings[it.columns[0]], it: it, p: g.profiles[it.columns[0]], kind: g.know.values[c.meaning.Term].Kind}
	if t.p.filled == 0 {
		return first(againstEmpty, t)
	}
	for _, s := range subjects {
		if !s.of(t) {
			continue
		}
		if why, ofUnit := first(s.objections, t); why != "" {
			return why, ofUnit
		}
		if s.further == nil {
			continue
		}
		if why := s.further(t); why != "" {
			return why, false
		}
	}
	return "", false
}

// first returns the first objection that holds, or "".
func first(objections []objection, t *trial) (why string, ofUnit bool) {
	for _, o := range objections {
		switch {
		case !o.when(t):
		case o.figures == nil:
			return o.why, o.ofUnit
		default:
			return fmt.Sprintf(o.why, o.figures(t)...), o.ofUnit
		}
	}
	return "", false
}

// is reports whether the meaning is one of these terms.
func (t *trial) is(terms ...string) bool { return slices.Contains(terms, t.meaning.Term) }

// above is the heading with its unit.
func (t *trial) above() string { return t.withUnit(t.it) }

// known is what is known of the measurement.
func (t *trial) known() vocabulary.Measurement { return t.know.measurements[t.meaning.Measurement] }

// unstated reports whether nothing gives the unit.
func (t *trial) unstated() bool { return t.it.unit == "" }

// differentOfRows is how many values are different, and in how many rows there is one.
func differentOfRows(t *trial) []any { return []any{t.p.distinct, t.p.filled} }

// beside reports whether another column than that of an item, or any if it is nil, was
// given what is such.
func (g *guesser) beside(it *item, is func(o *item) bool) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool { return o != it && o.chosen != nil && is(o) })
}

// beside reports whether another column was given what is such.
func (t *trial) beside(is func(o *item) bool) bool { return t.guesser.beside(t.it, is) }

// columnOf returns the column that was given a term, or -1.
func (g *guesser) columnOf(term string) int {
	if it := g.chosenAs(func(m record.Meaning) bool { return m.Term == term }); it != nil {
		return it.columns[0]
	}
	return -1
}

// withRole returns the column that was given a role, nil for none.
func (g *guesser) withRole(role record.Role) *item {
	return g.chosenAs(func(m record.Meaning) bool { return m.Role == role })
}
