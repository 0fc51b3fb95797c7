package screen

import (
	"math"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

var habitRules = []string{"digit-preferred", "values-repeat", "end-of-scale", "observer-differs"}

func TestCleanHandsHaveNoHabits(t *testing.T) {
	found := 0
	for seed := range uint64(10) {
		fs := of(Screen(simulate(300, 40+seed), nil, Defaults()), habitRules...)
		found += len(fs)
		for _, f := range fs {
			t.Log(f.Rule, f.Reason)
		}
	}
	if found > 2 {
		t.Errorf("%d habits found in 10 clean surveys", found)
	}
}

// everyReading rewrites one measurement of one observer.
func everyReading(all []*record.Capture, observer, measurement string, as func(v float64) float64) {
	for _, c := range all {
		if c.Get("recordedBy") != observer {
			continue
		}
		for i := range c.Readings {
			if r := &c.Readings[i]; r.Measurement == measurement {
				rewrite(c, i, strconv.FormatFloat(as(r.Number), 'f', 1, 64))
			}
		}
	}
}

func TestHabits(t *testing.T) {
	for _, c := range []struct {
		rule string
		do   func(all []*record.Capture)
	}{
		{"digit-preferred", func(all []*record.Capture) {
			n := 0
			everyReading(all, "B. Rook", "tibiaLength", func(v float64) float64 {
				if n++; n%2 == 0 {
					return math.Round(v)
				}
				return v
			})
		}},
		{"observer-differs", func(all []*record.Capture) {
			everyReading(all, "C. Sedge", "headWidth", func(v float64) float64 { return v * 1.06 })
		}},
		{"values-repeat", func(all []*record.Capture) {
			for _, c := range all[100:108] {
				for i := range c.Readings {
					if c.Readings[i].Measurement == "footLength" {
						rewrite(c, i, "36.1")
					}
				}
			}
		}},
		{"end-of-scale", func(all []*record.Capture) {
			for _, c := range all {
				if w := c.Weighing; w != nil && w.Gross != nil && w.Gross.Number > 50 {
					reweigh(c, "50.0", w.Tare.Text)
				} else if r := c.Reading(bodyMass); r != nil && r.Number > 50 {
					writeNet(c, "50.0")
				}
			}
		}},
	} {
		t.Run(c.rule, func(t *testing.T) {
			all := simulate(300, 44)
			c.do(all)
			fs := of(Screen(all, nil, Defaults()), habitRules...)
			if len(fs) == 0 || len(fs) > 2 || len(of(fs, c.rule)) != 1 {
				t.Errorf("got %+v", fs)
			}
		})
	}
}

// TestCountsAreNoHabits: a count is not read off a scale, and none is often found
// on many animals in a row.
func TestCountsAreNoHabits(t *testing.T) {
	all := simulate(300, 44)
	for i, c := range all {
		n := max(0, i%40-20) * (i % 7)
		c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: "parasiteCount", Unit: "1"}, Number: float64(n), Text: strconv.Itoa(n), Verbatim: strconv.Itoa(n), State: record.Measured}.At(c.Address()))
	}
	if fs := of(Screen(all, nil, Defaults()), habitRules...); len(fs) > 0 {
		t.Errorf("got %+v", fs)
	}
}
