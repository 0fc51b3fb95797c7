package report

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const fewestPairs = 5

// repeats draws the difference of two readings of the same animal against
// their mean (Bland and Altman 1986).
func (s *studio) repeats() album {
	a := album{ID: "repeat", Name: "Measured twice",
		Look: "Each mark is one animal that was measured twice: the first reading less the second, against their mean. The full line is the mean difference; nineteen of twenty differences lie between the broken lines. Look for a mark outside them, for a mean difference away from zero, and for differences that grow with size."}
	n := 0
	for _, name := range s.measured() {
		sc, ok := s.repeatScene(name)
		if !ok {
			continue
		}
		if n++; n > mostMeasures {
			s.leftOut("repeats of %s", s.page.measure(name).Label)
			continue
		}
		a.add(sc)
	}
	return a
}

// pair gives the first two repeats of a measurement, in the order of their
// numbers.
func pair(c *record.Capture, name string) (first, second *record.Reading) {
	var rs []*record.Reading
	for i := range c.Readings {
		if r := &c.Readings[i]; r.Measurement == name && r.Usable() {
			rs = append(rs, r)
		}
	}
	slices.SortStableFunc(rs, func(a, b *record.Reading) int { return a.Replicate - b.Replicate })
	if len(rs) < 2 || rs[0].Replicate == rs[1].Replicate {
		return nil, nil
	}
	return rs[0], rs[1]
}

func (s *studio) repeatScene(name string) (scene, bool) {
	m := s.page.measure(name)
	sc := scene{title: capital(m.Label), height: 220, heading: []string{"capture", "first" + unit(m.Unit), "second" + unit(m.Unit), "mean", "difference"},
		x: axis{label: "mean of the two" + unit(m.Unit)}, y: axis{label: "first less second" + unit(m.Unit)}}
	var first, second []float64
	for _, c := range s.page.Captures {
		a, b := pair(c, name)
		if a == nil {
			continue
		}
		no := least(s.flags.readingNo(c, a), s.flags.readingNo(c, b))
		if no == 0 {
			first, second = append(first, a.Number), append(second, b.Number)
		}
		off := a.Number - b.Number
		sc.marks = append(sc.marks, mark{x: (a.Number + b.Number) / 2, y: off, style: style{disc, inkOne}, no: no,
			say: fmt.Sprintf("%s, %s and %s %s", c.Key, shownReading(a), shownReading(b), a.Unit), atX: figure((a.Number + b.Number) / 2), atY: signed(off),
			line: []string{c.Key, shownReading(a), shownReading(b), figure((a.Number + b.Number) / 2), figure(off)}})
	}
	limits, err := statistics.BlandAltman(first, second, 0.95)
	if len(sc.marks) < fewestPairs || err != nil {
		return sc, false
	}
	sc.y.lo, sc.y.hi = window(sc.marks, func(k *mark) float64 { return k.y }, false)
	low, high := math.Min(limits.Lower.Value, 0), math.Max(limits.Upper.Value, 0)
	sc.y.lo, sc.y.hi = math.Min(sc.y.lo, low-0.08*(high-low)), math.Max(sc.y.hi, high+0.16*(high-low))
	whole := draw.LineStyle{Color: inkQuiet.color(), Width: 1.2}
	broken := draw.LineStyle{Color: inkQuiet.color(), Width: 1, Dashes: []vg.Length{4, 3}}
	sc.under = append(sc.under, levelLayer(0, draw.LineStyle{Color: inkLine.color(), Width: 0.8}, ""),
		levelLayer(limits.Bias.Value, whole, ""), levelLayer(limits.Lower.Value, broken, ""), levelLayer(limits.Upper.Value, broken, ""))
	sc.look = fmt.Sprintf("%s. Mean difference %s %s; nineteen of twenty differences lie between %s and %s %s.", plural(len(sc.marks), "pair"),
		signed(limits.Bias.Value), m.Unit, signed(limits.Lower.Value), signed(limits.Upper.Value), m.Unit)
	sc.desc = fmt.Sprintf("Differences of two readings of %s against their mean.", m.Label)
	return sc, true
}
