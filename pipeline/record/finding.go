package record

import (
	"cmp"
	"fmt"
	"strings"

	"spadefoot/pipeline/record/sorting"
)

// Level is the seriousness of a finding.
type Level uint8

// The levels, lightest first.
const (
	Note    Level = iota + 1 // for information; nothing to do
	Warning                  // doubtful: a person should look
	Error                    // wrong or unreadable: it cannot stand as it is
)

// String returns "note", "warning" or "error".
func (l Level) String() string {
	switch l {
	case Note:
		return "note"
	case Warning:
		return "warning"
	case Error:
		return "error"
	}
	return fmt.Sprintf("level %d", uint8(l))
}

// MarshalText writes the level's name.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads "note", "warning" or "error".
func (l *Level) UnmarshalText(b []byte) error {
	for _, v := range []Level{Note, Warning, Error} {
		if v.String() == string(b) {
			*l = v
			return nil
		}
	}
	return fmt.Errorf("level %q: want note, warning or error", b)
}

// Figure is one number behind a judgement, by name: n, centre, scale,
// statistic, threshold.
type Figure struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// Finding is one doubt: what is doubtful, where and why, and a suggestion where
// one is likely. A suggestion is never applied.
type Finding struct {
	Rule       string    `json:"rule"` // code from schemas/rules.csv
	Level      Level     `json:"level"`
	At         Address   `json:"at"`
	Also       []Address `json:"also,omitempty"`    // other cells with the same cause
	Spread     Spread    `json:"-"`                 // how At and Also relate
	Rewrites   []Rewrite `json:"-"`                 // if the suggestion changes several cells: what each would become
	Runs       []Run     `json:"runs,omitempty"`    // if one cause covers many cells below each other: all of them, beginning with At
	Capture    string    `json:"capture,omitempty"` // key of the capture
	Field      string    `json:"field,omitempty"`   // term, measurement or heading
	Value      string    `json:"value,omitempty"`   // the text as written
	Reason     string    `json:"reason"`
	Suggestion string    `json:"suggestion,omitempty"` // what it probably was, as it would be written
	Group      string    `json:"group,omitempty"`      // what it was compared with
	Figures    []Figure  `json:"figures,omitempty"`
	Reference  string    `json:"reference,omitempty"` // paper, section of a standard, or test label
}

// SortFindings puts findings into output order: most serious first, then by
// address, rule, field and reason. The order does not depend on how they were
// found.
func SortFindings(fs []Finding) {
	sorting.StableFunc(fs, func(a, b Finding) int { return CompareFindings(&a, &b) })
}

// CompareFindings compares findings by level, most serious first, then by
// address, rule, field and reason.
func CompareFindings(a, b *Finding) int {
	return cmp.Or(cmp.Compare(b.Level, a.Level), a.At.Compare(b.At), strings.Compare(a.Rule, b.Rule),
		strings.Compare(a.Field, b.Field), strings.Compare(a.Reason, b.Reason))
}
