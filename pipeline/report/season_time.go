package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/report/plot"
	"spadefoot/pipeline/season"
)

// grownScene draws the sizes of the marked animals of a species through time, each
// animal a line.
func (v *seasonView) grownScene(m *seasonMeasure, species string) (plot.Scene, bool) {
	k := slices.Index(v.Grown, m.Name)
	if k < 0 {
		return plot.Scene{}, false
	}
	type size struct {
		mark, sex string
		day, size float64
	}
	var all []size
	var sexes []string
	sc := plot.Scene{Title: species + ", growth", Height: 190, NoThin: true, Heading: []string{"organismID", "sex", "eventDate", m.Name},
		X: plot.Axis{Ticks: plot.DayTicks, Lo: math.Inf(1), Hi: math.Inf(-1)}, Y: plot.Axis{Label: m.Label + m.Unit, Lo: math.Inf(1), Hi: math.Inf(-1)}}
	for _, l := range v.Results.Lives {
		d, dated := day(l.Date)
		if l.Species != species || !dated || !l.Sizes[k].Known {
			continue
		}
		s := size{l.Mark, l.Sex, d, l.Sizes[k].Size}
		all = append(all, s)
		sc.X.Lo, sc.X.Hi = min(sc.X.Lo, d), max(sc.X.Hi, d)
		sc.Y.Lo, sc.Y.Hi = min(sc.Y.Lo, s.size), max(sc.Y.Hi, s.size)
		sc.Data = append(sc.Data, []string{l.Mark, l.Sex, l.Date, season.FigureOf(s.size, 4)})
		if name := plot.SexName(l.Sex); !slices.Contains(sexes, name) {
			sexes = append(sexes, name)
			sc.Key = append(sc.Key, plot.KeyItem{Style: plot.SexStyle(l.Sex), Text: name})
		}
	}
	lines := 0
	for i := 1; i < len(all); i++ {
		if all[i].mark == all[i-1].mark && all[i].day > all[i-1].day {
			lines++
		}
	}
	if lines == 0 {
		return plot.Scene{}, false
	}
	pad := max(0.06*(sc.Y.Hi-sc.Y.Lo), 0.5)
	sc.X.Lo, sc.X.Hi, sc.Y.Lo, sc.Y.Hi = sc.X.Lo-2, sc.X.Hi+2, sc.Y.Lo-pad, sc.Y.Hi+pad
	sc.Under = []plot.Layer{func(a plot.Area) {
		for i, s := range all {
			here, st := plot.Point{X: a.AtX(s.day), Y: a.AtY(s.size)}, plot.SexStyle(s.sex)
			if i > 0 && all[i-1].mark == s.mark {
				a.Line(plot.Stroke{Ink: st.Ink, Width: 1}, a.AtX(all[i-1].day), a.AtY(all[i-1].size), here.X, here.Y)
			}
			st.Shape.Paint(a.Canvas, st.Ink, []plot.Point{here}, plot.MarkSize)
		}
	}}
	sc.Caption = "Each line is one animal. A falling line is an animal that was measured differently, or another animal with the same mark."
	if v.Incomplete {
		sc.Caption += " Only the first animals of the table below."
	}
	sc.Desc = fmt.Sprintf("%s of marked animals over time; the data are below.", m.Label)
	return sc, true
}

// nightScene draws the captures of a species in each night, all sites together.
func (v *seasonView) nightScene(species string) (plot.Scene, bool) {
	var days []float64 // in which somebody was there
	count := map[float64]int{}
	top := 0
	sc := plot.Scene{Title: species + ", night by night", Height: 150, NoThin: true, Heading: []string{"night", "captures"}, X: plot.Axis{Ticks: plot.DayTicks}, Y: plot.Axis{Label: "captures"}}
	for _, n := range v.Results.Nights {
		d, dated := day(n.Date)
		if !dated {
			continue
		}
		if len(days) == 0 || days[len(days)-1] != d {
			days = append(days, d)
		}
		if n.Species == species {
			count[d] += n.N
			top = max(top, count[d])
		}
	}
	if len(days) < 3 || top == 0 {
		return plot.Scene{}, false
	}
	for _, d := range days {
		sc.Data = append(sc.Data, []string{plot.DayOf(d).Format("2006-01-02"), strconv.Itoa(count[d])})
	}
	slices.Sort(days)
	sc.X.Lo, sc.X.Hi, sc.Y.Hi = days[0]-2, days[len(days)-1]+2, 1.08*float64(top)
	if top < 5 {
		sc.Y.Ticks = wholeTicks
	}
	sc.Under = []plot.Layer{func(a plot.Area) {
		for _, d := range days {
			x, n := a.AtX(d), count[d]
			if n == 0 {
				a.Line(plot.Stroke{Ink: plot.InkQuiet, Width: 0.8}, x, a.AtY(0), x, a.AtY(0)+2.5)
				continue
			}
			a.Line(plot.Stroke{Ink: plot.InkOne, Width: 1.8}, x, a.AtY(0), x, a.AtY(float64(n)))
		}
	}}
	sc.Caption = "All sites together. A short stroke is a night when somebody was there but the species was not caught."
	if v.Results.NightsCut {
		sc.Caption += " Only the first nights."
	}
	sc.Desc = "Captures of each night; the data are below."
	return sc, true
}

// wholeTicks marks an axis of few at each whole number.
func wholeTicks(lo, hi float64) (out []plot.Tick) {
	for n := math.Ceil(lo); n <= hi; n++ {
		out = append(out, plot.Tick{Value: n, Label: strconv.Itoa(int(n))})
	}
	return out
}
