package report

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

const fewestPairs = 5

// repeats draws the difference of two readings of the same animal against
// their mean (Bland and Altman 1986).
func (s *studio) repeats() album {
	a := album{large: s.large, ID: "repeat", Name: "Measured twice",
		Hint: "Each mark is one animal that was measured twice: the first reading minus the second, against their mean. The solid line is the mean difference; nineteen of twenty differences lie between the dashed lines. Look for marks outside them, for a mean difference away from zero, and for differences that grow with size."}
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

func (s *studio) repeatScene(m *measured) (plot.Scene, bool) {
	sc := plot.Scene{Title: record.Capital(m.Label), Height: 220, Heading: []string{"capture", "first" + InUnit(m.Unit), "second" + InUnit(m.Unit), "mean", "difference"},
		X: plot.Axis{Label: "mean of the two" + InUnit(m.Unit)}, Y: plot.Axis{Label: "first minus second" + InUnit(m.Unit)}}
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
		sc.Marks = append(sc.Marks, plot.Mark{X: mean, Y: difference, Style: plot.Style{Shape: plot.Disc, Ink: plot.InkOne}, No: no, Note: func() plot.Note {
			return plot.Note{Text: fmt.Sprintf("%s, %s and %s %s", c.key, a.text, b.text, s.unitOf(a)), AtX: figure(mean), AtY: signed(difference),
				Line: []string{c.key, a.text, b.text, figure(mean), figure(difference)}}
		}})
	}
	sc.Total = s.total(sc.Marks, m.paired)
	limits, err := statistics.BlandAltman(first, second, 0.95)
	if len(sc.Marks) < fewestPairs || err != nil {
		return sc, false
	}
	sc.Y.Lo, sc.Y.Hi = plot.Window(sc.Marks, func(k *plot.Mark) float64 { return k.Y }, false)
	low, high := math.Min(limits.Lower.Value, 0), math.Max(limits.Upper.Value, 0)
	sc.Y.Lo, sc.Y.Hi = math.Min(sc.Y.Lo, low-0.08*(high-low)), math.Max(sc.Y.Hi, high+0.16*(high-low))
	whole := plot.Stroke{Ink: plot.InkQuiet, Width: 1.2}
	broken := plot.Stroke{Ink: plot.InkQuiet, Width: 1, Dashes: "4,3"}
	sc.Under = append(sc.Under, plot.Level(0, plot.Stroke{Ink: plot.InkLine, Width: 0.8}, ""),
		plot.Level(limits.Bias.Value, whole, ""), plot.Level(limits.Lower.Value, broken, ""), plot.Level(limits.Upper.Value, broken, ""))
	sc.Caption = fmt.Sprintf("%s. Mean difference %s %s; nineteen of twenty differences lie between %s and %s %s.", record.Plural(sc.Total, "pair"),
		signed(limits.Bias.Value), m.Unit, signed(limits.Lower.Value), signed(limits.Upper.Value), m.Unit)
	sc.Desc = fmt.Sprintf("Differences of two readings of %s against their mean.", m.Label)
	return sc, true
}
