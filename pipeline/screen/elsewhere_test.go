package screen

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"spadefoot/pipeline/record"
)

// What is measured beside the animal does not go with its size: a thin perch
// under a large lizard is not a slip.
func TestWhatIsNotOfTheBody(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	var captures []*record.Capture
	for i := range 60 {
		size := 45 + 15*random.Float64()
		c := &record.Capture{Key: fmt.Sprint(i), Values: []record.Value{{Field: record.Of("scientificName"), Text: "Anolis carolinensis"}}}
		for _, m := range []struct {
			name, unit string
			value      float64
		}{{"snoutVentLength", "mm", size}, {"headWidth", "mm", 0.16 * size}, {"perchDiameter", "cm", 1 + 29*random.Float64()}, {"perchHeight", "cm", 1 + 250*random.Float64()}} {
			c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: m.name, Unit: m.unit}, Number: m.value, Decimals: 1, State: record.Measured})
		}
		captures = append(captures, c)
	}
	captures[9].Readings[2].Number = 0.2
	captures[9].Readings[3].Number = 900
	captures[19].Readings[1].Number *= 10
	found := map[string]int{}
	for _, f := range inParts(t, captures, 100, nil, Defaults()) {
		if f.Field != "" {
			found[f.Field]++
		}
	}
	if found["headWidth"] != 1 || len(found) != 1 {
		t.Errorf("%v", found)
	}
}
