package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/season"
)

// grownScene draws the sizes of the marked animals of a species through time, each
// animal a line.
func (v *seasonView) grownScene(m *seasonMeasure, species string) (scene, bool) {
	k := slices.Index(v.Grown, m.Name)
	if k < 0 {
		return scene{}, false
	}
	type size struct {
		mark, sex string
		day, size float64
	}
	var all []size
	var sexes []string
	sc := scene{title: species + ", growth", height: 190, noThin: true, heading: []string{"organismID", "sex", "eventDate", m.Name},
		x: axis{ticks: dayTicks, lo: math.Inf(1), hi: math.Inf(-1)}, y: axis{label: m.Label + m.Unit, lo: math.Inf(1), hi: math.Inf(-1)}}
	for _, l := range v.Results.Lives {
		d, dated := day(l.Date)
		if l.Species != species || !dated || !l.Sizes[k].Known {
			continue
		}
		s := size{l.Mark, l.Sex, d, l.Sizes[k].Size}
		all = append(all, s)
		sc.x.lo, sc.x.hi = min(sc.x.lo, d), max(sc.x.hi, d)
		sc.y.lo, sc.y.hi = min(sc.y.lo, s.size), max(sc.y.hi, s.size)
		sc.data = append(sc.data, []string{l.Mark, l.Sex, l.Date, season.FigureOf(s.size, 4)})
		if name := sexName(l.Sex); !slices.Contains(sexes, name) {
			sexes = append(sexes, name)
			sc.key = append(sc.key, keyItem{sexStyle(l.Sex), name})
		}
	}
	lines := 0
	for i := 1; i < len(all); i++ {
		if all[i].mark == all[i-1].mark && all[i].day > all[i-1].day {
			lines++
		}
	}
	if lines == 0 {
		return scene{}, false
	}
	pad := max(0.06*(sc.y.hi-sc.y.lo), 0.5)
	sc.x.lo, sc.x.hi, sc.y.lo, sc.y.hi = sc.x.lo-2, sc.x.hi+2, sc.y.lo-pad, sc.y.hi+pad
	sc.under = []layer{func(a area) {
		for i, s := range all {
			here, st := point{a.atX(s.day), a.atY(s.size)}, sexStyle(s.sex)
			if i > 0 && all[i-1].mark == s.mark {
				a.line(stroke{ink: st.ink, width: 1}, a.atX(all[i-1].day), a.atY(all[i-1].size), here.x, here.y)
			}
			st.shape.paint(a.canvas, st.ink, []point{here}, markSize)
		}
	}}
	sc.look = "Each line is one animal. A falling line is an animal that was measured differently, or another animal with the same mark."
	if v.Incomplete {
		sc.look += " Only the first animals of the table below."
	}
	sc.desc = fmt.Sprintf("%s of marked animals over time; the data are below.", m.Label)
	return sc, true
}

// nightScene draws the captures of a species in each night, all sites together.
func (v *seasonView) nightScene(species string) (scene, bool) {
	var days []float64 // in which somebody was there
	count := map[float64]int{}
	top := 0
	sc := scene{title: species + ", night by night", height: 150, noThin: true, heading: []string{"night", "captures"}, x: axis{ticks: dayTicks}, y: axis{label: "captures"}}
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
		return scene{}, false
	}
	for _, d := range days {
		sc.data = append(sc.data, []string{dayOf(d).Format("2006-01-02"), strconv.Itoa(count[d])})
	}
	slices.Sort(days)
	sc.x.lo, sc.x.hi, sc.y.hi = days[0]-2, days[len(days)-1]+2, 1.08*float64(top)
	if top < 5 {
		sc.y.ticks = wholeTicks
	}
	sc.under = []layer{func(a area) {
		for _, d := range days {
			x, n := a.atX(d), count[d]
			if n == 0 {
				a.line(stroke{ink: inkQuiet, width: 0.8}, x, a.atY(0), x, a.atY(0)+2.5)
				continue
			}
			a.line(stroke{ink: inkOne, width: 1.8}, x, a.atY(0), x, a.atY(float64(n)))
		}
	}}
	sc.look = "All sites together. A short stroke is a night when somebody was there but the species was not caught."
	if v.Results.NightsCut {
		sc.look += " Only the first nights."
	}
	sc.desc = "Captures of each night; the data are below."
	return sc, true
}

// wholeTicks marks an axis of few at each whole number.
func wholeTicks(lo, hi float64) (out []tick) {
	for n := math.Ceil(lo); n <= hi; n++ {
		out = append(out, tick{n, strconv.Itoa(int(n))})
	}
	return out
}
