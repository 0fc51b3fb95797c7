package taxon

import (
	"strings"
	"testing"
)

// Where nothing lower is certain, the lowest taxon that all names in question
// share is published.
func TestLowestCommonTaxon(t *testing.T) {
	c, err := ReadChecklist(strings.NewReader(`scientificName,vernacularName,code,class,order,family
Lithobates clamitans,green frog,LICL,Amphibia,Anura,Ranidae
Lithobates pipiens,leopard frog,LIPI,Amphibia,Anura,Ranidae
Rana luteiventris,spotted frog|leopard frog,RALU,Amphibia,Anura,Ranidae
Anaxyrus americanus,American toad,ANAM,Amphibia,Anura,Bufonidae
Anaxyrus fowleri,Fowler's toad,ANFO,Amphibia,Anura,Bufonidae
`), "checklist.csv")
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"LIXX":            "Anura order",    // a code that is not there
		"leopard frog":    "Ranidae family", // of two genera
		"unknown":         " ",              // not of the checklist, perhaps
		"green frog blue": " ",              // a note, not a code
	} {
		m := c.Match(text)
		if got := m.ScientificName + " " + m.Rank; got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
		if m.State == Unread && (m.Remark == "") != (m.ScientificName == "") {
			t.Errorf("%q: remark %q", text, m.Remark)
		}
	}
}
