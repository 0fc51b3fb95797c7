package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"spadefoot/pipeline/record"
)

// bars are the captures of one row by interval of time.
type bars struct {
	first []float64 // day that each bar starts on
	count map[float64]int
}

// others stands for the taxa without a row of their own.
const others = "\xff"

// times draws the captures of each taxon through time.
func (s *studio) times() album {
	a := album{ID: "time", Name: "Captures through time",
		Look: "Each bar is the captures of one interval, for each taxon. Look for captures outside the season, in a year that was not worked, or on a night when nobody was out: a date written wrongly."}
	if sc, ok := s.timeScene(); ok {
		a.add(sc)
	}
	return a
}

// day is the day of a capture, if it has one.
func day(c *record.Capture) (float64, bool) {
	text := c.Get("eventDate")
	if len(text) < 10 {
		return 0, false
	}
	t, err := time.Parse("2006-01-02", text[:10])
	return dayNumber(t), err == nil
}

func (s *studio) timeScene() (scene, bool) {
	byTaxon := map[string][]mark{}
	var all []mark
	for _, c := range s.page.Captures {
		d, ok := day(c)
		if !ok {
			continue
		}
		taxon := c.Get("scientificName")
		m := mark{x: d, style: style{disc, inkOne}, no: s.flags.fieldNo(c, "eventDate"), say: c.Key + ", " + c.Get("eventDate"),
			atX: c.Get("eventDate"), line: []string{c.Key, taxon, c.Get("eventDate")}}
		byTaxon[taxon] = append(byTaxon[taxon], m)
		all = append(all, m)
	}
	if len(all) < 2 {
		return scene{}, false
	}
	sc := scene{title: plural(len(all), "capture"), noThin: true, heading: []string{"scientificName", "from", "captures"},
		x: axis{ticks: dayTicks{}}}
	sc.x.lo, sc.x.hi = window(all, func(m *mark) float64 { return m.x }, false)
	interval, word := intervalOf(sc.x.hi - sc.x.lo)
	if sc.x.hi-sc.x.lo < 7 {
		sc.x.lo, sc.x.hi = sc.x.lo-3, sc.x.hi+3
	}
	names := byNumber(byTaxon)
	if len(names) > mostTaxa {
		for _, name := range names[mostTaxa-1:] {
			byTaxon[others] = append(byTaxon[others], byTaxon[name]...)
		}
		names = append(names[:mostTaxa-1:mostTaxa-1], others)
	}
	var rows []bars
	var data [][]string
	most := 0
	for i, name := range names {
		b := barsOf(byTaxon[name], interval)
		full, label := name, []span{{text: s.names[name], italic: true}}
		if plain := map[string]string{"": "no name", others: "other names"}[name]; plain != "" {
			full, label = plain, []span{{text: plain}}
		}
		y := float64(len(names) - 1 - i)
		sc.rows = append(sc.rows, rowLabel{y + 0.18, label})
		for _, f := range b.first {
			most = max(most, b.count[f])
			sc.cover = append(sc.cover, mark{x: f + interval/2, y: y}, mark{x: f + interval/2, y: y + 0.3})
			data = append(data, []string{full, dayOf(f).Format("2006-01-02"), strconv.Itoa(b.count[f])})
		}
		rows = append(rows, b)
		for _, m := range byTaxon[name] {
			if m.no != 0 {
				m.y = y + 0.1
				sc.marks = append(sc.marks, m)
			}
		}
	}
	sc.y = axis{lo: -0.15, hi: float64(len(names)) - 0.1, hidden: true}
	sc.height = vg.Length(36 + 30*len(names))
	sc.under = append(sc.under, barLayer(rows, interval, most))
	sc.look = fmt.Sprintf("Intervals of %s; the tallest bar is %s.", word, plural(most, "capture"))
	sc.desc = fmt.Sprintf("Numbers of captures by %s for each taxon, from %s to %s.", word, dayOf(sc.x.lo).Format("2006-01-02"), dayOf(sc.x.hi).Format("2006-01-02"))
	sc.data = data
	return sc, true
}

// intervalOf chooses the width of a bar for a span of days.
func intervalOf(span float64) (days float64, word string) {
	switch {
	case span <= 100:
		return 1, "a day"
	case span <= 800:
		return 7, "a week"
	case span <= 3000:
		return 30, "thirty days"
	}
	return 182, "half a year"
}

func barsOf(marks []mark, interval float64) bars {
	b := bars{count: map[float64]int{}}
	for _, m := range marks {
		if m.no == 0 {
			b.count[math.Floor(m.x/interval)*interval]++
		}
	}
	for f := range b.count {
		b.first = append(b.first, f)
	}
	slices.Sort(b.first)
	return b
}

// barLayer draws the bars of every row on a foot line of its own.
func barLayer(rows []bars, interval float64, most int) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		for i, b := range rows {
			foot := float64(len(rows) - 1 - i)
			c.StrokeLine2(draw.LineStyle{Color: inkLine.color(), Width: 0.6}, c.Min.X, c.Y(p.Y.Norm(foot)), c.Max.X, c.Y(p.Y.Norm(foot)))
			for _, f := range b.first {
				x := c.X(p.X.Norm(f + interval/2))
				if x < c.Min.X || x > c.Max.X {
					continue
				}
				w := vg.Length(interval/(p.X.Max-p.X.Min)) * (c.Max.X - c.Min.X) * 0.8
				w = min(max(w, 1), 7) / 2
				low, high := c.Y(p.Y.Norm(foot)), c.Y(p.Y.Norm(foot+0.8*float64(b.count[f])/float64(most)))
				c.FillPolygon(inkOne.color(), []vg.Point{{X: x - w, Y: low}, {X: x - w, Y: high}, {X: x + w, Y: high}, {X: x + w, Y: low}})
			}
		}
	}
}
