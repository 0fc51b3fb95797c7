package terms

import "testing"

func TestNamed(t *testing.T) {
	for heading, want := range map[string]string{
		"taxonRank": "taxonRank", "Taxon rank": "taxonRank", "dwc:taxon_rank": "taxonRank", "OCCURRENCE ID": "occurrenceID", "eventType": "eventType",
		"dwc:preparations": "preparations", "dwc:recordedby": "recordedBy", "dcterms:modified": "modified",
		"class": "", "Type": "", "order": "", "habitat": "", // words of every day
		"measurementValue": "", // of a row of its own
		"":                 "", "taxon": "",
	} {
		if got := Named(heading); got != want {
			t.Errorf("%q: %q, want %q", heading, got, want)
		}
	}
}
