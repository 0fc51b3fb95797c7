package quantity

import "testing"

// A mark stands for nothing wherever it is the whole cell; words, and what is
// written as a name is, are texts.
func TestMark(t *testing.T) {
	for text, want := range map[string]bool{
		"": true, "  ": true, "-": true, "–": true, "—": true, "--": true, ".": true, "…": true, "/": true,
		"NA": true, "na": true, "n/a": true, "N/A": true, "n.a.": true, "#N/A": true, "NaN": true, "nan": true, "NULL": true, "null": true,
		"Nan": false, "Null": false, "Na": false, "Nan Tucket": false, "none": false, "unknown": false, "?": false, "x": false, "ND": false,
		"dead on road": false, "missing left forelimb": false, "none of the toes clipped": false, "not weighed, scale frozen": false,
		"NA, escaped": false, "0": false, "-99": false, "lost": false,
	} {
		if Mark(text) != want {
			t.Errorf("%q: %v, want %v", text, !want, want)
		}
	}
}

func TestSentinel(t *testing.T) {
	for text, want := range map[string]bool{"-999": true, " -9999 ": true, "-99.9": true, "": false, "999": false, "9999": false, "-1": false, "-": false, "A-999": false} {
		if Sentinel(text) != want {
			t.Errorf("%q: %v, want %v", text, !want, want)
		}
	}
}
