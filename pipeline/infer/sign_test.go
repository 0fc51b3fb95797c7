package infer

import (
	"strings"
	"testing"
)

func noteOf(heading, text string) *note {
	return &note{heading: heading, text: text, low: strings.ToLower(text), lowHeading: strings.ToLower(heading)}
}

func TestLookFor(t *testing.T) {
	const sign = "nuptial pads|nuptial pad|thumb pads"
	for _, c := range []struct {
		heading, text string
		want          presence
	}{
		{"", "Nuptial pads", present},
		{"", "nuptial pads well developed", present},
		{"", "dark thumb-pads", present},
		{"", "thumb pads present, no wounds", present},
		{"", "no wounds, nuptial pads", present},
		{"", "no nuptial pads", absent},
		{"", "without any nuptial pads", absent},
		{"", "nuptial pads absent", absent},
		{"", "nuptial pads: no", absent},
		{"", "nuptial pads -", absent},
		{"", "nuptial pads?", unsure},
		{"", "possibly nuptial pads", unsure},
		{"", "heavy, released at once", unsaid},
		{"", "", unsaid},
		{"Nuptial pads", "y", present},
		{"Nuptial pads", "+", present},
		{"Nuptial pads (y/n)", "n", absent},
		{"Nuptial pads", "0", absent},
		{"Nuptial pads", "?", unsure},
		{"Nuptial pads", "", unsaid},
		{"Nuptial pads", "see note", unsure},
		{"Pads", "y", unsaid},
	} {
		if got := noteOf(c.heading, c.text).lookForAny(wordingsOf(sign)); got != c.want {
			t.Errorf("%q under %q: got %d, want %d", c.text, c.heading, got, c.want)
		}
	}
}

func FuzzLookFor(f *testing.F) {
	f.Add("", "no nuptial pads")
	f.Add("Nuptial pads", "-")
	f.Fuzz(func(t *testing.T, heading, text string) {
		n := noteOf(heading, text)
		if got := n.lookForAny(wordingsOf("nuptial pads")); got > unsure {
			t.Errorf("%q: %d", text, got)
		}
	})
}
