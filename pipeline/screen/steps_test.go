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

// A workbook drops the zero of 15.0, so that 15 is likely in it; where whole
// numbers have their zero, it is not.
func TestDecimalsThatAHandWrites(t *testing.T) {
	for _, c := range []struct {
		name  string
		whole int // decimals of whole numbers
		want  func(p float64) bool
	}{
		{"zeros dropped", 0, func(p float64) bool { return p > 0.9 }},
		{"zeros written", 1, func(p float64) bool { return p < 0.1 }},
	} {
		var counts stepCounts
		for i := range 100 {
			v := 20 + float64(i)/10
			decimals := 1
			if i%10 == 0 {
				decimals = c.whole
			}
			counts.add(v, decimals)
		}
		s := counts.step()
		if p := s.writes(0); !c.want(p) || s.writes(1) < 0.85 || s.writes(2) > 0.01 {
			t.Errorf("%s: %.3f, %.3f, %.3f", c.name, p, s.writes(1), s.writes(2))
		}
	}
}

// Of small animals a scale of a tenth of a gram tells little, however much the
// animals of their kind weigh: a trout of 29 mm among those of 90.
func TestCoarseMassesOfSmallAnimals(t *testing.T) {
	c := &record.Capture{File: "f.csv", Row: 2}
	c.Set(record.Value{Field: record.Of("scientificName"), Text: "Lithobates pipiens"})
	addReading(c, bodyLength, "29", "mm", 13)
	addReading(c, bodyMass, "0.1", "g", 14)
	r := rowOf(c)
	m := &model{names: []string{bodyLength, bodyMass}, typical: []float64{90, 3}}
	f := &fitted{settings: Defaults(), models: map[string]*model{"Lithobates pipiens": m}, takings: takings{names: []string{bodyMass, bodyLength}, anyone: make([]taking, 2)}}
	m.numbered = f.numbered(m.names)
	f.resolve(r)
	if got := r.find(bodyMass).resolution; got < 0.25 {
		t.Errorf("resolution %.3f of a mass of 0.1 g", got)
	}
}

// JCGM 100:2008, F.2.2.1: a resolution of x has a standard uncertainty of 0.29 x.
func TestUncertaintyOfAStep(t *testing.T) {
	plain := step{fine: 0.5}
	plain.settle()
	if u := plain.uncertainty(23.5); math.Abs(u-0.29*0.5) > 0.001 {
		t.Errorf("u = %v", u)
	}
	heaped := step{fine: 0.1, coarse: 0.5, heaped: 0.5}
	heaped.settle()
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
