package alarms

import (
	"fmt"
	"os"
	"testing"
)

// Surveys of three species in which nobody wrote a stage, half of the animals
// being young: that young animals have other proportions makes no alarms, and
// hides no slips.
func TestUnstagedYoung(t *testing.T) {
	surveys := uint64(1)
	if os.Getenv("SPADEFOOT_LONG") == "1" {
		surveys = 20
	}
	for _, heaped := range []bool{false, true} {
		o := newReckoning()
		for seed := range surveys {
			w := newFieldwork(7000+seed, heaped)
			w.unstaged = true
			w.keepSpecies(3)
			o.written(t, w, 500)
			slips := plantSlips(w.rows, slipKinds, 25, seed)
			o.count(t, slips, examine(t, w.sheet()), w.rows)
		}
		if surveys > 1 {
			fmt.Printf("no stages, heaped %v\n%s\n", heaped, o)
		}
		if o.precision() < 0.85 || o.perThousand() > 4 || o.errors > 0 || o.wrong*8 > o.suggested+4 {
			t.Errorf("heaped %v\n%s", heaped, o)
		}
	}
}
