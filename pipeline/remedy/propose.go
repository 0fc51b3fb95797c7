package remedy

import (
	"slices"

	"spadefoot/pipeline/record"
)

// Wish says which findings get a proposal.
type Wish struct {
	Level record.Level                 // and above
	Given []Remedy                     // what the survey has already
	Veil  func(at record.Address) bool // cells whose text must not be written down; may be nil
}

// Propose makes rows for a person to decide on: for each cell of each finding
// what stands there, with the suggestion as replacement, and no action. What
// the survey has a row for already is left out.
func Propose(fs []record.Finding, cells *Cells, w Wish) []Remedy {
	have := map[answer]bool{}
	for i := range w.Given {
		r := &w.Given[i]
		found, _ := cells.find(r)
		for _, at := range append(found, r.At) {
			have[answer{r.Rule, at}] = true
		}
	}
	var out []Remedy
	for i := range fs {
		f := &fs[i]
		if f.Level < w.Level {
			continue
		}
		at := []record.Address{f.At}
		if gathered.MatchString(f.Reason) {
			at = append(at, f.Also...)
		}
		for _, a := range at {
			if have[answer{f.Rule, a}] {
				continue
			}
			have[answer{f.Rule, a}] = true
			if r, ok := cells.propose(f, a, w.Veil != nil && w.Veil(a)); ok {
				out = append(out, r)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Remedy) int { return a.At.Compare(b.At) })
	return out
}

// propose makes the row of one cell. A finding that is of no cell of a table
// can only be confirmed.
func (c *Cells) propose(f *record.Finding, at record.Address, veiled bool) (Remedy, bool) {
	r := Remedy{At: at, Rule: f.Rule, Doubt: f.Reason}
	spots := c.places[at]
	if len(spots) == 0 {
		r.Found = f.Value
		return r, at.Row > 0 && at.Column > 0
	}
	if veiled {
		return r, true
	}
	r.Found, r.Replacement = c.text(spots[0]), f.Suggestion
	if key := c.key(spots[0]); key != "" && len(spots) == 1 {
		r.Capture, r.Field = key, c.label(spots[0])
		if found, _ := c.find(&r); len(found) != 1 || found[0] != at {
			r.Capture, r.Field = "", ""
		}
	}
	return r, true
}
