package record

import "testing"

func TestProblemFinding(t *testing.T) {
	at := Address{File: "frogs.csv", Row: 7, Column: 4}
	f := Problem{Rule: "number-unread", Level: Error, Reason: "no number", Suggestion: "57"}.Finding(at, "snoutVentLength", "5 7")
	if f.Rule != "number-unread" || f.Level != Error || f.At != at || f.Field != "snoutVentLength" ||
		f.Value != "5 7" || f.Reason != "no number" || f.Suggestion != "57" {
		t.Errorf("%+v", f)
	}
}
