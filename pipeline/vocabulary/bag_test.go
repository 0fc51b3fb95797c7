package vocabulary

import "testing"

func TestMassAndBag(t *testing.T) {
	for text, want := range map[string]struct {
		mass, bag string
		included  bool
	}{
		"23.5 (w/ bag 5)": {"23.5", "5", true}, "23.5 (with bag 5)": {"23.5", "5", true}, "12,5 g mit Beutel 2,1 g": {"12,5 g", "2,1 g", true},
		"102 (con bolsa: 8)": {"102", "8", true}, "31 incl. bag 4.5": {"31", "4.5", true},
		"12.5 (bag 2.1)": {"12.5", "2.1", false}, "12.5, Beutel: 2.1": {"12.5", "2.1", false},
		"12.5 (with wet bag 2.1)": {}, "12.5 (wet 2)": {}, "12.5 with 2": {}, "bag 5": {}, "23.5": {},
	} {
		mass, bag, included, ok := MassAndBag(text)
		if mass != want.mass || bag != want.bag || included != want.included || ok != (want.mass != "") {
			t.Errorf("%q: %q and %q, included %v, %v", text, mass, bag, included, ok)
		}
	}
}
