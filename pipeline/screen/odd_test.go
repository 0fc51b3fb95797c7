package screen

import (
	"fmt"
	"math"
	"testing"

	"spadefoot/pipeline/record"
)

// Whatever stands in a capture, judging neither panics nor spoils the rest.
func TestOddCapturesDoNoHarm(t *testing.T) {
	all := simulate(120, 4)
	plain := count(Screen(all, nil, Defaults()), record.Warning)
	odd := []*record.Capture{{}, frog(900, "", "", "", "", ""), frog(901, "70.0", "", "", "", ""), frog(902, "70.0", "37.0", "", "", "")}
	for i, v := range []float64{0, -5, math.NaN(), math.Inf(1), 1e300, 1e-300} {
		c := frog(910+i, "70.0", "37.0", "34.0", "7.4", "6.0")
		c.Readings[1].Number = v
		odd = append(odd, c)
	}
	partly := frog(920, "70.0", "37.0", "34.0", "7.4", "6.0")
	g := makeReading(partly, grossMass, "40.5", "g", grossColumn)
	partly.Weighing = &record.Weighing{Way: record.SameRow, Gross: &g}
	missing := frog(921, "70.0", "37.0", "34.0", "7.4", "6.0")
	missing.Weighing = &record.Weighing{Gross: &record.Reading{Series: &record.Series{}, State: record.Missing}, Tare: &record.Reading{Series: &record.Series{}, State: record.Unread}}
	units := frog(922, "70.0", "37.0", "34.0", "7.4", "6.0")
	units.Readings[2].Vary(func(s *record.Series) { s.Unit = "Cel" })
	odd = append(odd, partly, missing, units)
	for _, c := range odd {
		c.Set(record.Value{Field: record.Of("eventDate"), Text: fmt.Sprint("2021-06-", c.Row)})
	}
	fs := Screen(append(odd, all...), nil, Defaults())
	if count(fs, record.Warning) > plain+3 {
		t.Errorf("%d findings at warning or above, %d without the odd ones", count(fs, record.Warning), plain)
	}
	for _, c := range odd {
		Judge(c, Summarise(nil, Defaults()), nil, Defaults())
	}
}

func TestAllometriesKnowTheSlopes(t *testing.T) {
	sum := Summarise(simulate(600, 5), Defaults())
	seen := 0
	for _, a := range sum.Allometries() {
		if a.Size != bodyLength || a.N < 8 || !(a.AxisLow < a.AxisSlope && a.AxisSlope < a.AxisHigh) {
			t.Errorf("got %+v", a)
		}
		if a.Measurement == bodyMass && a.N > 200 {
			seen++
			if math.Abs(a.Slope-3) > 0.15 {
				t.Errorf("mass goes with the %.3g power of length in %s", a.Slope, a.Taxon)
			}
		}
	}
	if seen == 0 {
		t.Error("no line of mass")
	}
}
