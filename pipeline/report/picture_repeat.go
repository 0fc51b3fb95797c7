package report

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const fewestPairs = 5

// repeats draws the difference of two readings of the same animal against
// their mean (Bland and Altman 1986).
func (s *studio) repeats() album {
	a := album{large: s.large, ID: "repeat", Name: "Measured twice",
		Look: "Each mark is one animal that was measured twice: the first reading minus the second, against their mean. The solid line is the mean difference; nineteen of twenty differences lie between the dashed lines. Look for marks outside them, for a mean difference away from zero, and for differences that grow with size."}
	n := 0
	for _, m := range s.taken() {
		sc, ok := s.repeatScene(m)
		if !ok {
			continue
		}
		if n++; n > maxMeasures {
			s.leftOut("repeats of %s", m.Label)
			continue
		}
		a.add(sc)
	}
	return a
}

// pair returns the first two repeats of a measurement, in the order of their
// numbers.
func (s *sketch) pair(measure int) (first, second *reading) {
	several := false // of the number of the first
	for i := range s.readings {
		r := &s.readings[i]
		switch {
		case int(r.measure) != measure:
		case first == nil:
			first = r
		case r.replicate == first.replicate:
			several = true
		case r.replicate < first.replicate:
			first, second, several = r, first, false
		case second == nil || r.replicate < second.replicate:
			second = r
		}
	}
	if several || second == nil {
		return nil, nil
	}
	return first, second
}

func (s *studio) repeatScene(m *measured) (scene, bool) {
	sc := scene{title: record.Capital(m.Label), height: 220, heading: []string{"capture", "first" + unit(m.Unit), "second" + unit(m.Unit), "mean", "difference"},
		x: axis{label: "mean of the two" + unit(m.Unit)}, y: axis{label: "first minus second" + unit(m.Unit)}}
	var first, second []float64
	for _, c := range s.kept {
		a, b := c.pair(m.index)
		if a == nil {
			continue
		}
		no := least(s.readingNo(c, a), s.readingNo(c, b))
		if !drawn(c, no, m.limit) {
			continue
		}
		if no == 0 {
			first, second = append(first, a.number), append(second, b.number)
		}
		mean, difference := (a.number+b.number)/2, a.number-b.number
		sc.marks = append(sc.marks, mark{x: mean, y: difference, style: style{disc, inkOne}, no: no, note: func() note {
			return note{text: fmt.Sprintf("%s, %s and %s %s", c.key, a.text, b.text, s.unitOf(a)), atX: figure(mean), atY: signed(difference),
				line: []string{c.key, a.text, b.text, figure(mean), figure(difference)}}
		}})
	}
	sc.total = s.total(sc.marks, m.paired)
	limits, err := statistics.BlandAltman(first, second, 0.95)
	if len(sc.marks) < fewestPairs || err != nil {
		return sc, false
	}
	sc.y.lo, sc.y.hi = window(sc.marks, func(k *mark) float64 { return k.y }, false)
	low, high := math.Min(limits.Lower.Value, 0), math.Max(limits.Upper.Value, 0)
	sc.y.lo, sc.y.hi = math.Min(sc.y.lo, low-0.08*(high-low)), math.Max(sc.y.hi, high+0.16*(high-low))
	whole := stroke{ink: inkQuiet, width: 1.2}
	broken := stroke{inkQuiet, 1, "4,3"}
	sc.under = append(sc.under, levelLayer(0, stroke{ink: inkLine, width: 0.8}, ""),
		levelLayer(limits.Bias.Value, whole, ""), levelLayer(limits.Lower.Value, broken, ""), levelLayer(limits.Upper.Value, broken, ""))
	sc.look = fmt.Sprintf("%s. Mean difference %s %s; nineteen of twenty differences lie between %s and %s %s.", record.Plural(sc.total, "pair"),
		signed(limits.Bias.Value), m.Unit, signed(limits.Lower.Value), signed(limits.Upper.Value), m.Unit)
	sc.desc = fmt.Sprintf("Differences of two readings of %s against their mean.", m.Label)
	return sc, true
}
