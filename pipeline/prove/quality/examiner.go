package quality

import (
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// Examiner returns the findings of many records under one set of parameters. Most
// tests look at one to four terms that hold the same few texts in all records,
// so that it remembers what tests found by the texts of their terms. It may be
// used by many goroutines, each with an [Examination] of its own.
type Examiner struct {
	params Params
	terms  []string       // that a test looks at
	slots  map[string]int // their places
	panels []*panel
}

// panel are tests that look at the same terms, or at some of them.
type panel struct {
	tests    []int   // places in the table, ascending
	terms    []int   // slots, ascending
	looked   termSet // the same slots
	acted    termSet // of these one must hold a value, or no test has anything to say
	verdicts recent  // by the texts of the terms
}

// termSet is a set of slots.
type termSet [2]uint64

func (s *termSet) set(slot int, in bool) {
	s[slot/64] &^= 1 << (slot % 64)
	if in {
		s[slot/64] |= 1 << (slot % 64)
	}
}
func (s *termSet) meets(o termSet) bool { return s[0]&o[0] != 0 || s[1]&o[1] != 0 }
func (s *termSet) holds(o termSet) bool { return o[0]&^s[0] == 0 && o[1]&^s[1] == 0 }

// NewExaminer prepares for records.
func NewExaminer(p Params) *Examiner {
	e := &Examiner{params: p, slots: map[string]int{}}
	for i := range table() {
		t := &table()[i]
		if !t.doubts() || t.needs() != noList {
			continue
		}
		own := &panel{tests: []int{i}, terms: e.lookedAt(t)}
		for _, prefixed := range t.ActedUpon {
			own.acted.set(e.slots[bare(prefixed)], true)
		}
		e.panels = append(e.panels, own)
	}
	e.panels = merged(e.panels)
	return e
}

// Terms are the terms that its tests look at.
func (e *Examiner) Terms() []string { return e.terms }

// merged joins each panel with the smallest other that looks at its terms and
// perhaps more, and is asked whenever it is: latitude alone with latitude and
// longitude.
func merged(panels []*panel) []*panel {
	sorting.StableFunc(panels, func(a, b *panel) int { return len(a.terms) - len(b.terms) })
	var out []*panel
	for i, p := range panels {
		within := slices.IndexFunc(panels[i+1:], func(o *panel) bool {
			return o.acted.holds(p.acted) && !slices.ContainsFunc(p.terms, func(slot int) bool { return !slices.Contains(o.terms, slot) })
		})
		if within < 0 {
			out = append(out, p)
			continue
		}
		o := panels[i+1+within]
		o.tests = append(o.tests, p.tests...)
	}
	for _, p := range out {
		slices.Sort(p.tests)
		for _, slot := range p.terms {
			p.looked.set(slot, true)
		}
	}
	return out
}

// lookedAt returns the slots of the terms that a test and the amendment paired
// with it act upon or consult.
func (e *Examiner) lookedAt(t *Test) []int {
	named := append(slices.Clone(t.ActedUpon), t.Consulted...)
	if amendment, ok := amendmentOf(t); ok {
		named = append(append(named, amendment.ActedUpon...), amendment.Consulted...)
	}
	var out []int
	for _, prefixed := range named {
		term := bare(prefixed)
		slot, ok := e.slots[term]
		if !ok {
			slot = len(e.terms)
			e.slots[term] = slot
			e.terms = append(e.terms, term)
		}
		out = append(out, slot)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
