package agreement

import (
	"fmt"
	"math"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

// spread returns the ends of the axis of differences: the same for all observers,
// so that their pictures can be held side by side.
func (o *Report) spread(m observers.Measurement) (low, high float64) {
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
func differences(id, who, label string, sc *observers.Score, decimals int) plot.Scene {
	unit := plainUnit(sc.Unit)
	s := plot.Scene{ID: id, Title: who + ": differences", Height: 230, NoThin: true,
		Heading: []string{"individual", "observed", "reference", "mean", "difference"},
		X:       plot.Axis{Label: "mean of observer and reference (" + unit + ")"},
		Y:       plot.Axis{Label: "observer minus reference (" + unit + ")"}}
	for _, p := range sc.Pairs {
		mean, off := (p.Observed+p.Reference)/2, p.Observed-p.Reference
		s.Marks = append(s.Marks, plot.Mark{X: mean, Y: off, Style: plot.Style{Shape: plot.Disc, Ink: plot.InkOne}})
		s.Data = append(s.Data, []string{p.Individual, amount(p.Observed).String(), amount(p.Reference).String(), amount(mean).String(), amount(off).String()})
	}
	s.X.Lo, s.X.Hi = plot.Window(s.Marks, func(m *plot.Mark) float64 { return m.X }, false)
	margin := 0.3 * (s.X.Hi - s.X.Lo) // for the words at the right
	s.X.Hi += margin
	b := sc.Bias
	solid := plot.Stroke{Ink: plot.InkText, Width: 1.2}
	broken := plot.Stroke{Ink: plot.InkText, Width: 1, Dashes: "4,3"}
	s.Under = []plot.Layer{
		plot.Level(0, plot.Stroke{Ink: plot.InkLine, Width: 0.8}, ""),
		boundedLayer(b.Upper, broken), boundedLayer(b.Bias, solid), boundedLayer(b.Lower, broken),
		wordsLayer(b, decimals),
	}
	s.Caption = fmt.Sprintf("Each mark is the mean of one individual's readings. Bias %s %s. In 95 of 100 cases a single reading is between %s and %s %s from the %s. The strokes at the right edge are the intervals of the lines.",
		between(b.Bias.Value, b.Bias.Low, b.Bias.High, decimals, true), unit, plusMinus(b.Lower.Value, decimals), plusMinus(b.Upper.Value, decimals), unit, sc.Reference)
	s.Desc = fmt.Sprintf("%s by %s minus the %s against the mean of both for %s: bias %s, lower limit %s, upper limit %s %s.", record.Capital(label), who, sc.Reference,
		record.Plural(len(sc.Pairs), "individual"), between(b.Bias.Value, b.Bias.Low, b.Bias.High, decimals, true),
		between(b.Lower.Value, b.Lower.Low, b.Lower.High, decimals, true), between(b.Upper.Value, b.Upper.Low, b.Upper.High, decimals, true), unit)
	return s
}

// boundedLayer draws a line across at a figure, and its interval at the right.
func boundedLayer(b statistics.Bounded, st plot.Stroke) plot.Layer {
	return func(a plot.Area) {
		plot.Level(b.Value, st, "")(a)
		x, low, high := a.Max.X-2, a.AtY(b.Low), a.AtY(b.High)
		thin := plot.Stroke{Ink: st.Ink, Width: 1}
		a.Line(thin, x, low, x, high)
		for _, y := range []float64{low, high} {
			a.Line(thin, x-2, y, x+2, y)
		}
	}
}

// wordsLayer names the lines at their right end: the upper limit above its line,
// the lower one below, the bias above its own where there is space.
func wordsLayer(l statistics.Limits, decimals int) plot.Layer {
	return func(a plot.Area) {
		at := func(v float64) float64 { return a.AtY(v) }
		set := func(word string, v, y float64) {
			text := plot.Span{Text: word + " " + plusMinus(v, decimals)}
			plot.Write(a.Canvas, plot.InkText, plot.SmallType, a.Max.X-8-text.Width(plot.SmallType), y, text)
		}
		set("limit", l.Upper.Value, at(l.Upper.Value)+3)
		set("limit", l.Lower.Value, at(l.Lower.Value)-10)
		if at(l.Upper.Value)-at(l.Bias.Value) > 13 {
			set("bias", l.Bias.Value, at(l.Bias.Value)+3)
		}
	}
}
