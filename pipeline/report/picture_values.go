package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"

	"spadefoot/pipeline/report/plot"
	"strings"
)

// Spread is the values of one column, beside what they may be.
type Spread struct {
	ID     string
	Title  string
	Label  string // of the axis
	Values []float64
	Usual  []Usual
}

// Usual is the range that values of a meaning usually lie in, in the unit of
// the column.
type Usual struct {
	Name   string
	Lo, Hi float64
}

// fewestForSpread is from how many values on a distribution is drawn.
const fewestForSpread = 3

// SVG draws how often which values are, and below it for each meaning where its
// values usually lie; "" for fewer than three values.
func (s Spread) SVG() template.HTML {
	v := slices.DeleteFunc(slices.Clone(s.Values), func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
	if len(v) < fewestForSpread {
		return ""
	}
	slices.Sort(v)
	x := plot.Axis{Label: s.Label, Log: wide(v)}
	margin := (v[len(v)-1] - v[0]) * 0.08
	if x.Log {
		x.Lo, x.Hi = v[0]/1.15, v[len(v)-1]*1.15
	} else {
		if margin == 0 {
			margin = math.Max(math.Abs(v[0])*0.1, 1)
		}
		x.Lo, x.Hi = v[0]-margin, v[len(v)-1]+margin
	}
	n := float64(len(s.Usual))
	sc := plot.Scene{ID: s.ID, Title: s.Title, X: x, Y: plot.Axis{Lo: -0.6, Hi: n + 3.2, Hidden: true}, Height: 132 + 16*n}
	for i, u := range s.Usual {
		sc.Rows = append(sc.Rows, plot.RowLabel{Y: n - 1 - float64(i), Spans: []plot.Span{{Text: u.Name}}})
	}
	sc.Desc = s.words(v)
	sc.Frame()
	sc.Under = []plot.Layer{stepBars(v, n), s.ranges()}
	return sc.Draw(nil)
}

// words tell the picture to those who can't see it.
func (s Spread) words(v []float64) string {
	out := []string{fmt.Sprintf("%d values from %s to %s, median %s.", len(v), figure(v[0]), figure(v[len(v)-1]), figure(v[len(v)/2]))}
	for _, u := range s.Usual {
		within := 0
		for _, x := range v {
			if x >= u.Lo && x <= u.Hi {
				within++
			}
		}
		out = append(out, fmt.Sprintf("%s is usually %s to %s: %d of them are.", u.Name, figure(u.Lo), figure(u.Hi), within))
	}
	return strings.Join(out, " ")
}

// stepBars draws the numbers of values in steps of the axis, standing on a line at
// the height y.
func stepBars(v []float64, y float64) plot.Layer {
	const steps = 24
	return func(a plot.Area) {
		var counts [steps]int
		for _, x := range v {
			counts[min(max(int(a.X.Share(x)*steps), 0), steps-1)]++
		}
		most := float64(slices.Max(counts[:]))
		foot, width := a.AtY(y), (a.Max.X-a.Min.X)/steps
		for i, c := range counts {
			if c == 0 {
				continue
			}
			left, top := a.Min.X+float64(i)*width, foot+(a.Max.Y-foot)*float64(c)/most
			p := a.Path()
			p.Through(plot.Point{X: left + 0.5, Y: foot}, plot.Point{X: left + 0.5, Y: top}, plot.Point{X: left + width - 0.5, Y: top}, plot.Point{X: left + width - 0.5, Y: foot})
			p.Close()
			a.Fill(p, plot.InkOne)
		}
	}
}

// ranges draws where values of each meaning usually lie, as far as the axis goes.
func (s Spread) ranges() plot.Layer {
	return func(a plot.Area) {
		for i, u := range s.Usual {
			y := a.AtY(float64(len(s.Usual) - 1 - i))
			lo, hi := math.Max(u.Lo, a.X.Lo), math.Min(u.Hi, a.X.Hi)
			if lo < hi {
				a.Line(plot.Stroke{Ink: plot.InkFour, Width: 4}, a.AtX(lo), y, a.AtX(hi), y)
			}
		}
	}
}
