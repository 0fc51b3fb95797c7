package mapping

import (
	"testing"

	"spadefoot/pipeline/record"
)

// A comment that mentions something leaves a heading what it says itself.
func TestACommentSaysLess(t *testing.T) {
	table := tableOf("sheet.csv", []string{"unique_id", "SVL (mm)"}, rising("MC%.0f", 101, 1), rising("%.1f", 48, 0.3))
	table.Columns[0].Says = "as in the protocol"
	guesses := Guess([]record.Table{table}, repeatableTerms)
	if got := said(guesses[0].Meaning); got != "catalogNumber" {
		t.Errorf("taken for %q: %s", got, guesses[0].Reason)
	}
}

// TestUnitsInLegends finds units in what legends and comments say of headings.
func TestUnitsInLegends(t *testing.T) {
	know := draftKnowledge()
	for text, unit := range map[string]string{
		"snout-vent length in mm":        "mm",
		"mass in g, bag subtracted":      "g",
		"snout-vent, mm, dial calipers":  "mm",
		"g, spring scale 50":             "g",
		"all masses in g":                "g",
		"M male, F female":               "",
		"initials of the observer":       "",
		"left hind leg, toes clipped":    "",
		"snout to vent; steel ruler, cm": "cm",
	} {
		if got := know.readLegend(text).unit; got != unit {
			t.Errorf("%q: unit %q, want %q", text, got, unit)
		}
	}
}
