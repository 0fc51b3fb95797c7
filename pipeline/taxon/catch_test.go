package taxon

import "testing"

// TestCatchOf tells rows without an animal from animals. What the words mean is
// common practice.
func TestCatchOf(t *testing.T) {
	for text, want := range map[string]Catch{
		"empty": Nothing, "Empty trap": Nothing, "no snake": Nothing, "No frogs found": Nothing, "nil": Nothing, "niets": Nothing, "sin capturas": Nothing, "kein Fang": Nothing, "空": Nothing,
		"closed": Shut, "trap closed": Shut, "no trap": Shut, "not set": Shut, "Falle nicht gestellt": Shut, "cerrada": Shut,
		"": Unstated, "-": Unstated, "no ID": Unstated, "not identified": Unstated, "frog": Unstated, "tree frog": Unstated, "trap": Unstated, "open": Unstated, "not empty": Unstated, "empty?": Unstated, "closed canopy frog": Unstated, "Rana temporaria": Unstated,
	} {
		if got := CatchOf(text); got != want {
			t.Errorf("%q: %d, want %d", text, got, want)
		}
	}
}
