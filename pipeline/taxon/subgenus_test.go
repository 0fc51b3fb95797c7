package taxon

import "testing"

// A subgenus is published with its genus (Darwin Core, dwc:subgenus of 2025-06-12),
// where that is the genus of the name that is published.
func TestSubgenus(t *testing.T) {
	c := checklist(t)
	for _, tt := range []struct {
		list           *Checklist
		text, subgenus string
	}{
		{nil, "Abacetus (Parastygis) ambiguus", "Abacetus (Parastygis)"},
		{nil, "Rana (Rana) temporaria Linnaeus, 1758", "Rana (Rana)"},
		{nil, "Rana (Rana) cf. temporaria", "Rana (Rana)"},
		{nil, "Rana (Rana) sp.", "Rana (Rana)"},
		{nil, "Rana (Linnaeus, 1758) ?", ""},
		{nil, "Rana temporaria (Linnaeus, 1758)", ""},
		{nil, "Rana (Linnaeus, 1758)", ""},
		{nil, "cf. Rana (Rana) temporaria", ""},
		{c, "Lithobates (Aquarana) clamitans", "Lithobates (Aquarana)"},
		{c, "L. (Aquarana) clamitans", "Lithobates (Aquarana)"},
		{c, "Rana (Aquarana) clamitans", ""}, // a synonym, published as Lithobates clamitans
	} {
		if m := tt.list.Match(tt.text); m.Subgenus != tt.subgenus {
			t.Errorf("%q: %q in %q, want %q", tt.text, m.Subgenus, m.ScientificName, tt.subgenus)
		}
	}
}
