package quality

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"

	"spadefoot/pipeline/record/sorting"
)

// Measures sums up the answers to many records: for each validation how many
// records comply, and whether all of them do.
type Measures struct {
	tests []Test
	sums  []sum
}

// sum counts the answers of one validation.
type sum struct{ records, compliant, notCompliant, unmet, internal int }

// MeasureColumns is the heading line of a table of measures.
var MeasureColumns = []string{"measure", "label", "GUID", "status", "result", "comment"}

// The two measures that are published for each validation.
const (
	countCompliant = "COUNT_COMPLIANT"
	assurance      = "QUALITY_ASSURANCE"
)

// Add takes the answers to one record. All come from one inquiry.
func (m *Measures) Add(a *Answers) {
	if m.tests == nil {
		m.tests, m.sums = a.Tests, make([]sum, len(a.Tests))
	}
	for i := range a.Responses {
		s, r := &m.sums[i], &a.Responses[i]
		s.records++
		switch {
		case r.Result == Compliant:
			s.compliant++
		case r.Result == NotCompliant:
			s.notCompliant++
		case r.Status == Internal:
			s.internal++
			s.unmet++
		default:
			s.unmet++
		}
	}
}

// Write writes two lines for each validation, by its label and GUID: how many
// records comply; and COMPLETE where every record complies or lacks what the
// test needs, else NOT_COMPLETE. A record that lacks a value is not complete
// for the tests that ask for a value.
func (m *Measures) Write(w *csv.Writer) error {
	lines := [][]string{MeasureColumns}
	for i := range m.tests {
		t, s := &m.tests[i], m.sums[i]
		if t.Type != Validation {
			continue
		}
		told := fmt.Sprintf("of %d records, %d comply, %d do not, %d lack what the test needs", s.records, s.compliant, s.notCompliant, s.unmet)
		result := "NOT_COMPLETE"
		if s.compliant+s.internal == s.records {
			result = "COMPLETE"
		}
		lines = append(lines, []string{countCompliant, t.Label, t.GUID, HasResult, strconv.Itoa(s.compliant), told},
			[]string{assurance, t.Label, t.GUID, HasResult, result, told})
	}
	sorting.StableFunc(lines[1:], func(a, b []string) int { return slices.Compare(a[:2], b[:2]) })
	return w.WriteAll(lines)
}
