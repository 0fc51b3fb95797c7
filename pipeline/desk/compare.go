package desk

import (
	"fmt"
	"strings"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// comparison is what differs between two walks of a survey.
type comparison struct {
	Gone, New        []record.Finding // errors and warnings
	Captures         int              // more than before
	Readings, Values int              // more than before: numbers, and texts of terms
}

// compare holds a walk against an earlier one.
func compare(before, after *pipeline.Looked) comparison {
	c := comparison{Captures: len(after.Captures) - len(before.Captures)}
	was, is := doubtsOf(before), doubtsOf(after)
	c.Gone, c.New = without(was, is), without(is, was)
	r0, v0 := filled(before)
	r1, v1 := filled(after)
	c.Readings, c.Values = r1-r0, v1-v0
	return c
}

func doubtsOf(r *pipeline.Looked) (out []record.Finding) {
	for i := range r.Findings {
		if r.Findings[i].Level >= record.Warning {
			out = append(out, r.Findings[i])
		}
	}
	return out
}

// doubtKey tells a doubt from others. The reason is no part of it, since its
// figures change with every other value.
type doubtKey struct {
	rule string
	at   record.Address
}

func without(a, b []record.Finding) (out []record.Finding) {
	have := map[doubtKey]bool{}
	for i := range b {
		have[doubtKey{b[i].Rule, b[i].At}] = true
	}
	for i := range a {
		if !have[doubtKey{a[i].Rule, a[i].At}] {
			out = append(out, a[i])
		}
	}
	return out
}

// filled counts what was read of the cells: readings that are numbers, and
// values of terms.
func filled(r *pipeline.Looked) (readings, values int) {
	for _, c := range r.Captures {
		for i := range c.Readings {
			if c.Readings[i].Usable() && !c.Readings[i].Derived {
				readings++
			}
		}
		for i := range c.Values {
			if c.Values[i].From.Row > 0 && c.Values[i].Text != "" {
				values++
			}
		}
	}
	return readings, values
}

// String says it in a sentence or two.
func (c comparison) String() string {
	var parts []string
	for _, p := range []struct {
		n    int
		word string
	}{{c.Captures, "capture"}, {c.Readings, "number"}, {c.Values, "value"}} {
		switch {
		case p.n > 0:
			parts = append(parts, report.Plural(p.n, p.word)+" more")
		case p.n < 0:
			parts = append(parts, report.Plural(-p.n, p.word)+" fewer")
		}
	}
	doubts := fmt.Sprintf("Doubts: %d gone, %d new.", len(c.Gone), len(c.New))
	if len(parts) == 0 {
		return doubts
	}
	return "Read: " + strings.Join(parts, ", ") + ". " + doubts
}
