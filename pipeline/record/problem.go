package record

import "strings"

// Problem is what a reader of one value found doubtful in its text. It has no
// address: the stage that knows the cell turns it into a Finding.
type Problem struct {
	Rule       string // code from schemas/rules
	Level      Level
	Reason     string
	Suggestion string // what it probably was, as it would be written; never applied
	Second     bool   // it is about the second of two cells that were read together
}

// Either adds to a reason what a text may have been. One text is a suggestion; of
// several none is.
func Either(reason string, texts ...string) (why, suggestion string) {
	switch len(texts) {
	case 0:
		return reason, ""
	case 1:
		return reason, texts[0]
	}
	return reason + "; it may have been " + strings.Join(texts, " or "), ""
}

// Finding puts the problem at a cell.
func (p Problem) Finding(at Address, field, value string) Finding {
	return Finding{
		Rule: p.Rule, Level: p.Level, At: at, Field: field, Value: value,
		Reason: p.Reason, Suggestion: p.Suggestion,
	}
}
