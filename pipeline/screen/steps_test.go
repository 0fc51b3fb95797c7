package screen

import (
	"math"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

func TestStepsOfAHand(t *testing.T) {
	halves := []float64{1, 1.5, 2, 3.5, 4, 2.5, 7.5, 1}
	for _, c := range []struct {
		name   string
		values []float64
		want   step
	}{
		{"halves", halves, step{fine: 0.5}},
		{"tenths", []float64{1.1, 1.2, 2.7, 3.3, 4.1, 2.9, 7.4, 1.8}, step{fine: 0.1}},
		{"whole", []float64{11, 12, 27, 33, 41, 29, 74, 18}, step{fine: 1}},
		{"even", []float64{2, 4, 6, 8, 12, 14, 26, 18}, step{fine: 2}},
		{"too few", halves[:5], step{}},
		{"half of them heaped", []float64{1.1, 1.5, 2.7, 3, 4.1, 2.5, 7.4, 8, 6.5, 3.3, 4.2, 5}, step{fine: 0.1, coarse: 0.5, heaped: (0.5 - 0.2) / 0.8}},
	} {
		var counts stepCounts
		for _, v := range c.values {
			counts.add(v, 1)
		}
		got := counts.step()
		if math.Abs(got.fine-c.want.fine) > 1e-12 || math.Abs(got.coarse-c.want.coarse) > 1e-12 || math.Abs(got.heaped-c.want.heaped) > 1e-12 {
			t.Errorf("%s: got %+v, want %+v", c.name, got, c.want)
		}
	}
}

// JCGM 100:2008, F.2.2.1: a resolution of x has a standard uncertainty of 0.29 x.
func TestUncertaintyOfAStep(t *testing.T) {
	if u := (step{fine: 0.5}).uncertainty(23.5); math.Abs(u-0.29*0.5) > 0.001 {
		t.Errorf("u = %v", u)
	}
	heaped := step{fine: 0.1, coarse: 0.5, heaped: 0.5}
	if on, off := heaped.uncertainty(23.5), heaped.uncertainty(23.4); on <= 2*off || math.Abs(off-0.029) > 0.001 {
		t.Errorf("on the coarse step %v, off it %v", on, off)
	}
}

// Eyes read to half millimetres scatter by the step, not by slips.
func TestHalfMillimetresAreNoSlips(t *testing.T) {
	all := simulate(300, 71)
	for _, c := range all {
		for i := range c.Readings {
			if r := &c.Readings[i]; r.Unit == "mm" {
				rewrite(c, i, strconv.FormatFloat(math.Max(0.5, math.Round(2*r.Number)/2), 'f', 1, 64))
			}
		}
	}
	for _, f := range Screen(all, nil, Defaults()) {
		if f.Level >= record.Warning {
			t.Errorf("%s %s: %s", f.Rule, f.At, f.Reason)
		}
	}
}
