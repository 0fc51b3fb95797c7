package pipeline

import (
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// MostShown is how many errors and warnings a summary names.
const MostShown = 12

// Tally counts findings in the order of the outputs and holds the first of
// those that need a person.
type Tally struct {
	Levels   report.Counts
	ByRule   map[string]int
	Doubts   map[string]int // errors and warnings by rule
	Errors   []record.Finding
	Warnings []record.Finding
}

// Add counts a finding.
func (t *Tally) Add(f *record.Finding) {
	if t.ByRule == nil {
		t.ByRule, t.Doubts = map[string]int{}, map[string]int{}
	}
	t.ByRule[f.Rule]++
	switch f.Level {
	case record.Error:
		t.Levels.Error++
		t.Errors = first(t.Errors, f)
	case record.Warning:
		t.Levels.Warning++
		t.Warnings = first(t.Warnings, f)
	default:
		t.Levels.Note++
		return
	}
	t.Doubts[f.Rule]++
}

func first(list []record.Finding, f *record.Finding) []record.Finding {
	if len(list) < MostShown {
		list = append(list, *f)
	}
	return list
}
