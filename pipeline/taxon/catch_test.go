package taxon

import "testing"

// TestCatchOf tells rows without an animal from animals. What the words mean is
// common practice.
func TestCatchOf(t *testing.T) {
	for text, want := range map[string]Catch{
		"empty": Nothing, "Empty trap": Nothing, "no snake": Nothing, "No frogs found": Nothing, "nil": Nothing, "niets": Nothing, "sin capturas": Nothing, "kein Fang": Nothing, "空": Nothing,
		"closed": Shut, "trap closed": Shut, "no trap": Shut, "not set": Shut, "Falle nicht gestellt": Shut, "cerrada": Shut,
		"": Untold, "-": Untold, "no ID": Untold, "not identified": Untold, "frog": Untold, "tree frog": Untold, "trap": Untold, "open": Untold, "not empty": Untold, "empty?": Untold, "closed canopy frog": Untold, "Rana temporaria": Untold,
	} {
		if got := CatchOf(text); got != want {
			t.Errorf("%q: %d, want %d", text, got, want)
		}
	}
}
