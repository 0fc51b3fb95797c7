package draft

import (
	"testing"

	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

// TestExplainedHeadings takes what tables say of their headings unless they
// differ.
func TestExplainedHeadings(t *testing.T) {
	tab := func(svl, mass string) *entry {
		return &entry{tables: []record.Table{{Columns: []record.Column{{Heading: "SVL", Says: svl}, {Heading: "Mass", Says: mass}}}}}
	}
	d := drafting{refs: []*entry{tab("in mm", "g"), tab("in cm", ""), tab("in mm", "g")}, legend: map[string]string{}}
	d.explainHeadings()
	if svl, mass := d.legend[mapping.Fold("SVL")], d.legend[mapping.Fold("Mass")]; svl != "" || mass != "g" {
		t.Errorf("SVL %q, mass %q", svl, mass)
	}
}

// TestHeadingsInALine has lines that explain headings, and lines that only look so:
// common practice.
func TestHeadingsInALine(t *testing.T) {
	known := map[string]bool{}
	for _, h := range []string{"LHC", "LC", "Tc", "Sex", "HW"} {
		known[mapping.Fold(h)] = true
	}
	for line, want := range map[string]map[string]string{
		"LHC long. hocico-cloaca; LC long. cola; Tc temp. cloacal; Xy otra": {"LHC": "long. hocico-cloaca", "LC": "long. cola", "Tc": "temp. cloacal"},
		"LHC = hocico-cloaca, LC = cola, HW: head width":                    {"LHC": "hocico-cloaca", "LC": "cola", "HW": "head width"},
		"Abbreviations: LHC, hocico-cloaca; LC – cola; HW - head width.":    {"LHC": "hocico-cloaca", "LC": "cola", "HW": "head width"},
		"LHC mm; LC mm; HW mm":                    nil, // units are stated elsewhere
		"LHC hocico-cloaca; LC cola":              nil, // too few
		"LHC a mano; LC a ojo; Tc no; y; z; a; b": nil,
		"M = male; F = female; J = juvenile":      nil,
	} {
		got := headingsIn(line, known)
		if len(got) != len(want) {
			t.Errorf("%q: %v", line, got)
		}
		for h, said := range want {
			if got[mapping.Fold(h)] != said {
				t.Errorf("%q: %s is %q", line, h, got[mapping.Fold(h)])
			}
		}
	}
}
