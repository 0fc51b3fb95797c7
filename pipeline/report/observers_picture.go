package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/statistics"
)

// The forms that say how a figure stands to its line.
var (
	overLine  = style{diamond, inkTwo}
	withLine  = style{disc, inkOne}
	aloneLine = style{ring, inkQuiet}
)

// whisker is one observer in a picture of figures: a figure with its interval
// and, where the line asks for it, how far it may go.
type whisker struct {
	name   string
	at     statistics.Bounded
	line   float64 // 0 for none
	style  style
	length int // readings or individuals behind it
}

// picturesOf draws one measurement: bias, repeats, and the differences of each
// observer against the mean.
func (o *Observers) picturesOf(no int, m observers.Measurement, decimals int) []picture {
	var out []picture
	add := func(s scene, ok bool) {
		if ok {
			out = append(out, s.picture())
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
			s.y.lo, s.y.hi = low, high
			add(s, true)
		}
	}
	return out
}

// whiskersOf gathers one figure of every observer.
func (o *Observers) whiskersOf(m observers.Measurement, kind string) []whisker {
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
func (o *Observers) whiskers(id string, m observers.Measurement, kind, title, unit string, decimals int) (scene, bool) {
	ws := o.whiskersOf(m, kind)
	if len(ws) == 0 {
		return scene{}, false
	}
	s := scene{id: id, title: title, noThin: true, heading: []string{"observer", "value", "low", "high", "line", "n"},
		x: axis{label: strings.ToLower(title) + " (" + unit + ")"}, y: axis{lo: -0.6, hi: float64(len(ws)) - 0.4, hidden: true},
		height: float64(48 + 21*len(ws))}
	var parts []string
	for i, w := range ws {
		y := float64(len(ws) - 1 - i)
		s.rows = append(s.rows, rowLabel{y, []span{{text: w.name}}})
		s.marks = append(s.marks, mark{x: w.at.Value, y: y, style: w.style})
		s.data = append(s.data, []string{w.name, amount(w.at.Value).String(), amount(w.at.Low).String(), amount(w.at.High).String(), lineText(w.line), fmt.Sprint(w.length)})
		parts = append(parts, w.name+" "+between(w.at.Value, w.at.Low, w.at.High, decimals, kind == observers.BiasOf))
		s.x.lo, s.x.hi = math.Min(s.x.lo, w.at.Low), math.Max(s.x.hi, math.Max(w.at.High, w.line))
		if kind == observers.BiasOf {
			s.x.lo = math.Min(s.x.lo, -w.line)
		}
	}
	pad := 0.05 * (s.x.hi - s.x.lo)
	if s.x.lo < 0 {
		s.x.lo -= pad
	}
	s.x.hi += math.Max(pad, 1e-9)
	s.key = whiskerKey(ws)
	if len(s.key) > 0 {
		s.height += topLine
	}
	s.under = []layer{zeroLayer, whiskerLayer(ws, kind == observers.BiasOf)}
	s.desc = fmt.Sprintf("%s in rows by observer, with intervals, in %s: %s.", title, unit, strings.Join(parts, "; "))
	s.look = "Marks are the figures, horizontal strokes their intervals; short vertical strokes are the pass mark."
	if kind == observers.BiasOf {
		s.look = "How much too large (right) or too small (left) each observer reads. " + s.look
	} else {
		s.look = "How far the repeats of each observer vary. " + s.look
	}
	return s, true
}

func lineText(v float64) string {
	if v == 0 {
		return ""
	}
	return amount(v).String()
}

func whiskerKey(ws []whisker) []keyItem {
	var out []keyItem
	for _, k := range []keyItem{{withLine, "pass mark reached"}, {overLine, "pass mark not reached"}, {aloneLine, "no verdict"}} {
		if slices.ContainsFunc(ws, func(w whisker) bool { return w.style == k.style }) {
			out = append(out, k)
		}
	}
	return out
}

// zeroLayer draws an upright line at no error.
func zeroLayer(a area) {
	if a.x.lo < 0 && a.x.hi > 0 {
		x := a.atX(0)
		a.line(stroke{ink: inkLine, width: 0.8}, x, a.min.y, x, a.max.y)
	}
}

// whiskerLayer draws the intervals and the lines, one row an observer.
func whiskerLayer(ws []whisker, bothWays bool) layer {
	return func(a area) {
		for i, w := range ws {
			row := float64(len(ws) - 1 - i)
			y := a.atY(row)
			a.line(stroke{ink: w.style.ink, width: 1.4}, a.atX(w.at.Low), y, a.atX(w.at.High), y)
			if w.line == 0 {
				continue
			}
			ends := []float64{w.line}
			if bothWays {
				ends = append(ends, -w.line)
			}
			for _, end := range ends {
				x := a.atX(end)
				a.line(stroke{ink: inkText, width: 1.1}, x, a.atY(row-0.36), x, a.atY(row+0.36))
			}
		}
	}
}
