package mapping

import "testing"

// TestLatin tells scientific names from names of places, whose second word may end
// like an epithet inside their first.
func TestLatin(t *testing.T) {
	know := draftKnowledge()
	for text, want := range map[string]bool{
		"Rana temporaria": true, "R. temporaria": true, "R.temporaria": true, "Lith. sylvaticus": true, "Rana cf. arvalis": true, "Rana_temporaria": true, "pseudacris crucifer": true, "Ambystoma maculatum (Shaw)": true,
		"Alder Road 7": false, "Otter Run": false, "Mirador Norte": false, "Heron Slough": false, "Trap site": false, "Field data": false, "Rana": false, "7": false, "": false,
	} {
		if got := know.latin(text); got != want {
			t.Errorf("%q: %t", text, got)
		}
	}
}
