package quality

import "testing"

func TestMeaning(t *testing.T) {
	for _, c := range []struct{ vocabulary, text, want string }{
		{"basisOfRecord", "Preserved spec.", "PreservedSpecimen"},
		{"basisOfRecord", "pres spec", "PreservedSpecimen"},
		{"basisOfRecord", "specimen", ""}, // preserved, fossil or living
		{"basisOfRecord", "pr sp", ""},    // too short
		{"basisOfRecord", "citation", "MaterialCitation"},
		{"type", "stillimage", "StillImage"},
		{"type", "evnt", "Event"},
		{"type", "vnt", ""},
		{"type", "image", "Image"},
		{"degreeOfEstablishment", "inv.", "invasive"},
		{"degreeOfEstablishment", "est", "established"},
		{"degreeOfEstablishment", "C3", "established"},
		{"taxonRank", "sub", ""},
		{"taxonRank", "espèce", "species"},
		{"sex", "♀", "Female"},
		{"sex", "fm", ""},
		{"pathway", "escape", ""},
		{"pathway", "escapee", ""},
		{"kingdom", "", ""},
		{"kingdom", "...", ""},
	} {
		if got := vocabularies()[c.vocabulary].meaning(c.text); got != c.want {
			t.Errorf("%s %q: %q, want %q", c.vocabulary, c.text, got, c.want)
		}
	}
}

// Every value means itself in whatever case, and is in the vocabulary.
func TestValuesMeanThemselves(t *testing.T) {
	for term, v := range vocabularies() {
		for _, value := range v.order {
			if !v.holds(value) {
				t.Errorf("%s does not hold %s", term, value)
			}
			for _, writing := range []string{value, fold(value), " " + value + " "} {
				if got := v.meaning(writing); got != value {
					t.Errorf("%s %q means %q", term, writing, got)
				}
			}
		}
	}
}
