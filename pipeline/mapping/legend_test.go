package mapping

import "testing"

// TestUnitsInLegends finds units in what legends and comments say of headings.
func TestUnitsInLegends(t *testing.T) {
	know, err := draftKnowledge()
	if err != nil {
		t.Fatal(err)
	}
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
