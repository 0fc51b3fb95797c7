package pipeline

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// MostShown is how many errors a refusal names.
const MostShown = 12

// Tally counts findings in the order of the outputs and holds the first of
// those that need a person.
type Tally struct {
	Levels report.Counts
	ByRule map[string]int
	Errors []record.Finding // the first of them

	causes map[ruleAt]*Cause
}

// Cause is what one rule says at one level, error or warning.
type Cause struct {
	Count int
	First record.Finding
}

type ruleAt struct {
	rule  string
	level record.Level
}

// Add counts a finding.
func (t *Tally) Add(f *record.Finding) {
	if t.ByRule == nil {
		t.ByRule, t.causes = map[string]int{}, map[ruleAt]*Cause{}
	}
	t.ByRule[f.Rule]++
	switch f.Level {
	case record.Error:
		t.Levels.Error++
		if len(t.Errors) < MostShown {
			t.Errors = append(t.Errors, *f)
		}
	case record.Warning:
		t.Levels.Warning++
	default:
		t.Levels.Note++
		return
	}
	key := ruleAt{f.Rule, f.Level}
	if t.causes[key] == nil {
		t.causes[key] = &Cause{First: *f}
	}
	t.causes[key].Count++
}

// Causes gives what was found, worst first: errors before warnings, and of
// these what was found most often.
func (t *Tally) Causes() []Cause {
	out := make([]Cause, 0, len(t.causes))
	for _, c := range t.causes {
		out = append(out, *c)
	}
	slices.SortFunc(out, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(b.First.Level, a.First.Level), b.Count-a.Count, strings.Compare(a.First.Rule, b.First.Rule))
	})
	return out
}
