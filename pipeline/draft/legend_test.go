package draft

import (
	"testing"

	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

// TestExplainedHeadings takes what tables say of their headings unless they
// differ.
func TestExplainedHeadings(t *testing.T) {
	tab := func(svl, mass string) entry {
		return entry{tables: []record.Table{{Columns: []record.Column{{Heading: "SVL", Says: svl}, {Heading: "Mass", Says: mass}}}}}
	}
	d := drafting{refs: []entry{tab("in mm", "g"), tab("in cm", ""), tab("in mm", "g")}, legend: map[string]string{}}
	d.explainHeadings()
	if svl, mass := d.legend[mapping.Fold("SVL")], d.legend[mapping.Fold("Mass")]; svl != "" || mass != "g" {
		t.Errorf("SVL %q, mass %q", svl, mass)
	}
}
