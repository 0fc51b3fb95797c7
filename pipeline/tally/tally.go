// Package tally counts findings and keeps the first of those that need a
// person.
package tally

import (
	"cmp"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/findings"
)

// MaxShown is how many errors a refusal names.
const MaxShown = 12

// Tally counts findings in the order of the outputs and holds the first of
// those that need a person.
type Tally struct {
	Levels findings.Counts
	ByRule map[string]int
	Errors []record.Finding // the first of them
	Doubts map[Doubt]*Cause // errors and warnings
}

// Cause is what one rule says at one level, error or warning.
type Cause struct {
	Count int
	First record.Finding
}

// Doubt is a rule and the level that it has.
type Doubt struct {
	Rule  string
	Level record.Level
}

// Add counts a finding.
func (t *Tally) Add(f *record.Finding) {
	if t.ByRule == nil {
		t.ByRule, t.Doubts = map[string]int{}, map[Doubt]*Cause{}
	}
	t.ByRule[f.Rule]++
	switch f.Level {
	case record.Error:
		t.Levels.Error++
		if len(t.Errors) < MaxShown {
			t.Errors = append(t.Errors, *f)
		}
	case record.Warning:
		t.Levels.Warning++
	default:
		t.Levels.Note++
		return
	}
	key := Doubt{f.Rule, f.Level}
	if t.Doubts[key] == nil {
		t.Doubts[key] = &Cause{First: *f}
	}
	t.Doubts[key].Count++
}

// Causes returns what was found, worst first: errors before warnings, and of
// these what was found most often.
func (t *Tally) Causes() []Cause {
	out := make([]Cause, 0, len(t.Doubts))
	for _, c := range t.Doubts {
		out = append(out, *c)
	}
	sorting.Func(out, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(b.First.Level, a.First.Level), b.Count-a.Count, strings.Compare(a.First.Rule, b.First.Rule))
	})
	return out
}
