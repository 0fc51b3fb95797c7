package remedy

import (
	"iter"
	"slices"

	"spadefoot/pipeline/record"
)

// Wish says which findings get a proposal.
type Wish struct {
	Level record.Level                 // and above
	Veil  func(at record.Address) bool // cells whose text must not be written down; may be nil
	// Nameless are cells of captures whose key must not be written down; may be nil.
	Nameless func(at record.Address) bool
}

// Cells are the cells that rows may be proposed for, of the findings that get
// one.
func (w Wish) Cells(f *record.Finding) []record.Address {
	switch {
	case f.Level < w.Level:
		return nil
	case f.Gathered():
		return append([]record.Address{f.At}, f.Also...)
	}
	return []record.Address{f.At}
}

// Propose makes rows for a person to decide on: for each cell of each finding
// what stands there, with the suggestion as replacement, and no action. What
// the survey has a row for already is left out. The search has been for the
// remedies given and for the cells of the findings, in tables as they are after
// the remedies.
func Propose(fs iter.Seq2[record.Finding, error], s *Search, w Wish) ([]Remedy, error) {
	have := map[answer]bool{}
	for i := range s.remedies {
		r := &s.remedies[i]
		found, _ := s.find(i)
		for _, at := range append(found, r.At) {
			have[answer{r.Rule, at}] = true
		}
	}
	var out []Remedy
	for f, err := range fs {
		if err != nil {
			return nil, err
		}
		for _, a := range w.Cells(&f) {
			if have[answer{f.Rule, a}] {
				continue
			}
			have[answer{f.Rule, a}] = true
			if r, ok := s.propose(&f, a, &w); ok {
				out = append(out, r)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Remedy) int { return a.At.Compare(b.At) })
	return out, nil
}

// propose makes the row of one cell. A finding that is of no cell of a table
// can only be confirmed.
func (s *Search) propose(f *record.Finding, at record.Address, w *Wish) (Remedy, bool) {
	r := Remedy{At: at, Rule: f.Rule, Doubt: f.Reason}
	c := s.cell(at)
	if c == nil {
		r.Found = f.Value
		return r, at.Row > 0 && at.Column > 0
	}
	if w.Veil != nil && w.Veil(at) {
		return r, true
	}
	r.Found, r.Replacement = c.text, f.Suggestion
	if c.key != "" && len(c.rows) == 1 && (w.Nameless == nil || !w.Nameless(at)) {
		r.Capture, r.Field = c.key, c.field
	}
	return r, true
}
