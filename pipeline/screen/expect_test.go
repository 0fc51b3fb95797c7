package screen

import (
	"math"
	"testing"

	"spadefoot/pipeline/record"
)

// What is expected of a measurement is what the reason of a doubt on it says, is
// near what it would have been, and does not hang on the value itself.
func TestExpect(t *testing.T) {
	animals := simulate(400, 16)
	sum := NewSummary(Defaults())
	sum.AddPart(animals)
	held, all := 0, 0
	for _, c := range animals[:100] {
		var names []string
		for _, r := range c.Readings {
			if r.Usable() {
				names = append(names, r.Measurement)
			}
		}
		for _, e := range Expect(c, names, nil, sum, Defaults()) {
			own := c.Reading(e.Measurement)
			all++
			if own.Number >= e.Low && own.Number <= e.High {
				held++
			}
			if c.Get("sex") == "" {
				continue // seen as of the sex that fits best, by this measurement too
			}
			without := *c
			without.Readings = nil
			for _, r := range c.Readings {
				if r.Measurement != e.Measurement {
					without.Readings = append(without.Readings, r)
				}
			}
			missing := Expect(&without, []string{e.Measurement}, nil, sum, Defaults())
			if e.Measurement == bodyMass {
				continue // as it is weighed, so far it is seen: the step of the scale is known from the reading only
			}
			if len(missing) != 1 || math.Abs(missing[0].Low/e.Low-1) > 0.03 || math.Abs(missing[0].High/e.High-1) > 0.03 {
				t.Fatalf("%s: %+v where it was not taken, %+v where it was", e.Measurement, missing, e)
			}
		}
	}
	if share := float64(held) / float64(all); all < 200 || share < 0.9 || share > 0.99 {
		t.Errorf("%d of %d values lie within what is expected", held, all)
	}
	stranger := &record.Capture{Values: []record.Value{{Field: record.Of("scientificName"), Text: "Bufo nowhere"}}}
	if got := Expect(stranger, []string{bodyLength}, nil, sum, Defaults()); got != nil {
		t.Errorf("of a taxon that nobody measured: %v", got)
	}
}
