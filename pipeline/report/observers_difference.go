package report

import (
	"fmt"
	"math"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// spread returns the ends of the axis of differences: the same for all observers,
// so that their pictures can be held side by side.
func (o *Observers) spread(m observers.Measurement) (low, high float64) {
	for i := range o.Result.Observers {
		sc := scoreOn(&o.Result.Observers[i], m)
		if sc == nil || sc.BiasMissing != "" {
			continue
		}
		low, high = math.Min(low, sc.Bias.Lower.Low), math.Max(high, sc.Bias.Upper.High)
		for _, p := range sc.Pairs {
			low, high = math.Min(low, p.Observed-p.Reference), math.Max(high, p.Observed-p.Reference)
		}
	}
	pad := math.Max(0.07*(high-low), 1e-9)
	return low - pad, high + pad
}

// differences draws observer less reference against the mean of both, with the
// bias and the limits of agreement and their intervals (Bland and Altman 1986).
func differences(id, who, label string, sc *observers.Score, decimals int) scene {
	unit := plainUnit(sc.Unit)
	s := scene{id: id, title: who + ": differences", height: 230, noThin: true,
		heading: []string{"individual", "observed", "reference", "mean", "difference"},
		x:       axis{label: "mean of observer and reference (" + unit + ")"},
		y:       axis{label: "observer minus reference (" + unit + ")"}}
	for _, p := range sc.Pairs {
		mean, off := (p.Observed+p.Reference)/2, p.Observed-p.Reference
		s.marks = append(s.marks, mark{x: mean, y: off, style: style{disc, inkOne}})
		s.data = append(s.data, []string{p.Individual, amount(p.Observed).String(), amount(p.Reference).String(), amount(mean).String(), amount(off).String()})
	}
	s.x.lo, s.x.hi = window(s.marks, func(m *mark) float64 { return m.x }, false)
	margin := 0.3 * (s.x.hi - s.x.lo) // for the words at the right
	s.x.hi += margin
	b := sc.Bias
	solid := stroke{ink: inkText, width: 1.2}
	broken := stroke{inkText, 1, "4,3"}
	s.under = []layer{
		levelLayer(0, stroke{ink: inkLine, width: 0.8}, ""),
		boundedLayer(b.Upper, broken), boundedLayer(b.Bias, solid), boundedLayer(b.Lower, broken),
		wordsLayer(b, decimals),
	}
	s.look = fmt.Sprintf("Each mark is the mean of one individual's readings. Bias %s %s. In 95 of 100 cases a single reading is between %s and %s %s from the %s. The strokes at the right edge are the intervals of the lines.",
		between(b.Bias.Value, b.Bias.Low, b.Bias.High, decimals, true), unit, plusMinus(b.Lower.Value, decimals), plusMinus(b.Upper.Value, decimals), unit, sc.Reference)
	s.desc = fmt.Sprintf("%s by %s minus the %s against the mean of both for %s: bias %s, lower limit %s, upper limit %s %s.", record.Capital(label), who, sc.Reference,
		record.Plural(len(sc.Pairs), "individual"), between(b.Bias.Value, b.Bias.Low, b.Bias.High, decimals, true),
		between(b.Lower.Value, b.Lower.Low, b.Lower.High, decimals, true), between(b.Upper.Value, b.Upper.Low, b.Upper.High, decimals, true), unit)
	return s
}

// boundedLayer draws a line across at a figure, and its interval at the right.
func boundedLayer(b statistics.Bounded, st stroke) layer {
	return func(a area) {
		levelLayer(b.Value, st, "")(a)
		x, low, high := a.max.x-2, a.atY(b.Low), a.atY(b.High)
		thin := stroke{ink: st.ink, width: 1}
		a.line(thin, x, low, x, high)
		for _, y := range []float64{low, high} {
			a.line(thin, x-2, y, x+2, y)
		}
	}
}

// wordsLayer names the lines at their right end: the upper limit above its line,
// the lower one below, the bias above its own where there is space.
func wordsLayer(l statistics.Limits, decimals int) layer {
	return func(a area) {
		at := func(v float64) float64 { return a.atY(v) }
		set := func(word string, v, y float64) {
			text := span{text: word + " " + plusMinus(v, decimals)}
			write(a.canvas, inkText, smallType, a.max.x-8-text.width(smallType), y, text)
		}
		set("limit", l.Upper.Value, at(l.Upper.Value)+3)
		set("limit", l.Lower.Value, at(l.Lower.Value)-10)
		if at(l.Upper.Value)-at(l.Bias.Value) > 13 {
			set("bias", l.Bias.Value, at(l.Bias.Value)+3)
		}
	}
}
