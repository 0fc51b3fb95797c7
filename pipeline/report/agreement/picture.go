package agreement

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/statistics"
)

// The forms that say how a figure stands to its line.
var (
	overLine  = plot.Style{Shape: plot.Diamond, Ink: plot.InkTwo}
	withLine  = plot.Style{Shape: plot.Disc, Ink: plot.InkOne}
	aloneLine = plot.Style{Shape: plot.Ring, Ink: plot.InkQuiet}
)

// whisker is one observer in a picture of figures: a figure with its interval
// and, where the line asks for it, how far it may go.
type whisker struct {
	name   string
	at     statistics.Bounded
	line   float64 // 0 for none
	style  plot.Style
	length int // readings or individuals behind it
}

// picturesOf draws one measurement: bias, repeats, and the differences of each
// observer against the mean.
func (o *Report) picturesOf(no int, m observers.Measurement, decimals int) []plot.Picture {
	var out []plot.Picture
	add := func(s plot.Scene, ok bool) {
		if ok {
			out = append(out, s.Picture())
		}
	}
	unit := plainUnit(m.Unit)
	add(o.whiskers(fmt.Sprintf("bias-%d", no), m, observers.BiasOf, "Bias", unit, decimals))
	add(o.whiskers(fmt.Sprintf("repeats-%d", no), m, observers.Repeats, "Error of repeats", unit, decimals))
	low, high := o.spread(m)
	for i := range o.Result.Observers {
		who := &o.Result.Observers[i]
		if sc := scoreOn(who, m); sc != nil && sc.BiasMissing == "" {
			s := differences(fmt.Sprintf("difference-%d-%d", no, i+1), who.Name, o.measure(m.Name).Label, sc, decimals)
			s.Y.Lo, s.Y.Hi = low, high
			add(s, true)
		}
	}
	return out
}

// whiskersOf gathers one figure of every observer.
func (o *Report) whiskersOf(m observers.Measurement, kind string) []whisker {
	var out []whisker
	for i := range o.Result.Observers {
		who := &o.Result.Observers[i]
		sc := scoreOn(who, m)
		if sc == nil {
			continue
		}
		w := whisker{name: who.Name, style: aloneLine}
		mean := 0.0 // what the line is a share of
		switch {
		case kind == observers.BiasOf && sc.BiasMissing == "":
			w.at, w.length = sc.Bias.Bias, sc.Bias.Subjects
			for _, p := range sc.Pairs {
				mean += p.Reference / float64(len(sc.Pairs))
			}
		case kind == observers.Repeats && sc.WithinMissing == "":
			t := sc.Within
			w.at, w.length, mean = statistics.Bounded{Value: t.TEM, Low: t.Low, High: t.High}, t.Readings, math.Abs(t.Mean)
		default:
			continue
		}
		if c := criterion(sc, kind); c.Name != "" {
			w.line, w.style = c.Line/100*math.Abs(mean), withLine
			if !c.Pass {
				w.style = overLine
			}
		}
		out = append(out, w)
	}
	return out
}

// whiskers draws one figure of every observer with its interval and its line.
func (o *Report) whiskers(id string, m observers.Measurement, kind, title, unit string, decimals int) (plot.Scene, bool) {
	ws := o.whiskersOf(m, kind)
	if len(ws) == 0 {
		return plot.Scene{}, false
	}
	s := plot.Scene{ID: id, Title: title, NoThin: true, Heading: []string{"observer", "value", "low", "high", "line", "n"},
		X: plot.Axis{Label: strings.ToLower(title) + " (" + unit + ")"}, Y: plot.Axis{Lo: -0.6, Hi: float64(len(ws)) - 0.4, Hidden: true},
		Height: float64(48 + 21*len(ws))}
	var parts []string
	for i, w := range ws {
		y := float64(len(ws) - 1 - i)
		s.Rows = append(s.Rows, plot.RowLabel{Y: y, Spans: []plot.Span{{Text: w.name}}})
		s.Marks = append(s.Marks, plot.Mark{X: w.at.Value, Y: y, Style: w.style})
		s.Data = append(s.Data, []string{w.name, amount(w.at.Value).String(), amount(w.at.Low).String(), amount(w.at.High).String(), lineText(w.line), fmt.Sprint(w.length)})
		parts = append(parts, w.name+" "+between(w.at.Value, w.at.Low, w.at.High, decimals, kind == observers.BiasOf))
		s.X.Lo, s.X.Hi = math.Min(s.X.Lo, w.at.Low), math.Max(s.X.Hi, math.Max(w.at.High, w.line))
		if kind == observers.BiasOf {
			s.X.Lo = math.Min(s.X.Lo, -w.line)
		}
	}
	pad := 0.05 * (s.X.Hi - s.X.Lo)
	if s.X.Lo < 0 {
		s.X.Lo -= pad
	}
	s.X.Hi += math.Max(pad, 1e-9)
	s.Key = whiskerKey(ws)
	if len(s.Key) > 0 {
		s.Height += plot.TopLine
	}
	s.Under = []plot.Layer{zeroLayer, whiskerLayer(ws, kind == observers.BiasOf)}
	s.Desc = fmt.Sprintf("%s in rows by observer, with intervals, in %s: %s.", title, unit, strings.Join(parts, "; "))
	s.Caption = "Marks are the figures, horizontal strokes their intervals; short vertical strokes are the pass mark."
	if kind == observers.BiasOf {
		s.Caption = "How much too large (right) or too small (left) each observer reads. " + s.Caption
	} else {
		s.Caption = "How far the repeats of each observer vary. " + s.Caption
	}
	return s, true
}

func lineText(v float64) string {
	if v == 0 {
		return ""
	}
	return amount(v).String()
}

func whiskerKey(ws []whisker) []plot.KeyItem {
	var out []plot.KeyItem
	for _, k := range []plot.KeyItem{{Style: withLine, Text: "pass mark reached"}, {Style: overLine, Text: "pass mark not reached"}, {Style: aloneLine, Text: "no verdict"}} {
		if slices.ContainsFunc(ws, func(w whisker) bool { return w.style == k.Style }) {
			out = append(out, k)
		}
	}
	return out
}

// zeroLayer draws an upright line at no error.
func zeroLayer(a plot.Area) {
	if a.X.Lo < 0 && a.X.Hi > 0 {
		x := a.AtX(0)
		a.Line(plot.Stroke{Ink: plot.InkLine, Width: 0.8}, x, a.Min.Y, x, a.Max.Y)
	}
}

// whiskerLayer draws the intervals and the lines, one row an observer.
func whiskerLayer(ws []whisker, bothWays bool) plot.Layer {
	return func(a plot.Area) {
		for i, w := range ws {
			row := float64(len(ws) - 1 - i)
			y := a.AtY(row)
			a.Line(plot.Stroke{Ink: w.style.Ink, Width: 1.4}, a.AtX(w.at.Low), y, a.AtX(w.at.High), y)
			if w.line == 0 {
				continue
			}
			ends := []float64{w.line}
			if bothWays {
				ends = append(ends, -w.line)
			}
			for _, end := range ends {
				x := a.AtX(end)
				a.Line(plot.Stroke{Ink: plot.InkText, Width: 1.1}, x, a.AtY(row-0.36), x, a.AtY(row+0.36))
			}
		}
	}
}
