package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"spadefoot/pipeline/record"
)

// One wrong size among animals that hardly differ in size must not make a line that it
// lies on: a mouse with a hind foot as long as two would then be of an unusual size.
func TestOneWrongSizeMakesNoLine(t *testing.T) {
	draw := rand.New(rand.NewPCG(7, 7))
	var all []*record.Capture
	for i := range 35 {
		c := &record.Capture{ID: fmt.Sprint(i), Key: fmt.Sprint(i), File: simulatedSheet, Row: i + 2}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Dipodomys merriami"})
		c.Set(record.Value{Field: record.Of("sex"), Text: "female"})
		addReading(c, "hindfootLength", fmt.Sprintf("%.0f", 36+draw.NormFloat64()), "mm", 1)
		addReading(c, bodyMass, fmt.Sprintf("%.0f", 45*math.Exp(0.09*draw.NormFloat64())), "g", 2)
		all = append(all, c)
	}
	if fs := of(Screen(all, nil, Defaults()), "shape-unusual", "value-far", "value-off-line", "animal-unusual"); len(fs) > 0 {
		t.Errorf("before: %+v", fs)
	}
	for _, wrong := range []string{"84", "63"} {
		right := all[20].Readings[0]
		all[20].Readings[0] = makeReading(all[20], "hindfootLength", wrong, "mm", 1)
		if fs := of(Screen(all, nil, Defaults()), "shape-unusual", "value-far", "value-off-line"); len(fs) != 1 || fs[0].At != right.From() || fs[0].Level < record.Warning {
			t.Errorf("%s: got %+v", wrong, fs)
		}
		all[20].Readings[0] = right
	}
}
