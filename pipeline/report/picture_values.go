package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
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
	x := axis{label: s.Label, log: wide(v)}
	margin := (v[len(v)-1] - v[0]) * 0.08
	if x.log {
		x.lo, x.hi = v[0]/1.15, v[len(v)-1]*1.15
	} else {
		if margin == 0 {
			margin = math.Max(math.Abs(v[0])*0.1, 1)
		}
		x.lo, x.hi = v[0]-margin, v[len(v)-1]+margin
	}
	n := float64(len(s.Usual))
	sc := scene{id: s.ID, title: s.Title, x: x, y: axis{lo: -0.6, hi: n + 3.2, hidden: true}, height: 132 + 16*n}
	for i, u := range s.Usual {
		sc.rows = append(sc.rows, rowLabel{y: n - 1 - float64(i), spans: []span{{text: u.Name}}})
	}
	sc.desc = s.words(v)
	sc.frame()
	sc.under = []layer{stepBars(v, n), s.ranges()}
	return sc.draw(nil)
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
func stepBars(v []float64, y float64) layer {
	const steps = 24
	return func(a area) {
		var counts [steps]int
		for _, x := range v {
			counts[min(max(int(a.x.share(x)*steps), 0), steps-1)]++
		}
		most := float64(slices.Max(counts[:]))
		foot, width := a.atY(y), (a.max.x-a.min.x)/steps
		for i, c := range counts {
			if c == 0 {
				continue
			}
			left, top := a.min.x+float64(i)*width, foot+(a.max.y-foot)*float64(c)/most
			p := a.path()
			p.through(point{left + 0.5, foot}, point{left + 0.5, top}, point{left + width - 0.5, top}, point{left + width - 0.5, foot})
			p.close()
			a.fill(p, inkOne)
		}
	}
}

// ranges draws where values of each meaning usually lie, as far as the axis goes.
func (s Spread) ranges() layer {
	return func(a area) {
		for i, u := range s.Usual {
			y := a.atY(float64(len(s.Usual) - 1 - i))
			lo, hi := math.Max(u.Lo, a.x.lo), math.Min(u.Hi, a.x.hi)
			if lo < hi {
				a.line(stroke{ink: inkFour, width: 4}, a.atX(lo), y, a.atX(hi), y)
			}
		}
	}
}
