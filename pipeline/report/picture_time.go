package report

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/plot"
)

// bars are the captures of one row by interval of time.
type bars struct {
	name  string
	of    []string  // the names that it counts
	first []float64 // day that each bar starts on
	count map[float64]int
}

// others stands for the taxa without their own row.
const others = "\xff"

// times draws the captures of each taxon through time.
func (s *studio) times() album {
	a := album{large: s.large, ID: "time", Name: "Captures over time",
		Hint: "Each bar is the number of captures in one interval, for each taxon. Look for captures outside the season, in a year without fieldwork, or on a night when nobody was out: a date written wrongly."}
	if sc, ok := s.timeScene(); ok {
		a.add(sc)
	}
	return a
}

// dayCounts are the captures of each name by day.
func (s *studio) dayCounts() *days {
	if s.large {
		return &s.days
	}
	ds := &days{}
	for _, c := range s.kept {
		if on := ds.at(c.date); on != nil {
			doubted := truth(c.fieldNo(termDateName, c.dateAt) != 0)
			ds.add(on, c.group.taxon, 1-doubted, doubted)
			on.wrong = on.wrong || c.wrong
		}
	}
	return ds
}

func (s *studio) timeScene() (plot.Scene, bool) {
	ds := s.dayCounts()
	number, n := ds.numbers(), 0
	for _, k := range number {
		n += k
	}
	var all []plot.Mark // one for each day and name, to find the window
	for _, on := range ds.by {
		if on.wrong {
			continue // it never widens the axis
		}
		for _, k := range on.of {
			if k.plain > 0 {
				all = append(all, plot.Mark{X: on.day})
			}
			if k.doubted > 0 {
				all = append(all, plot.Mark{X: on.day, No: plot.Unshown})
			}
		}
	}
	if n < 2 || len(all) == 0 {
		return plot.Scene{}, false
	}
	sc := plot.Scene{Title: record.Plural(n, "capture"), NoThin: !s.large, Heading: []string{"scientificName", "from", "captures"},
		X: plot.Axis{Ticks: plot.DayTicks}}
	sc.X.Lo, sc.X.Hi = plot.Window(all, func(m *plot.Mark) float64 { return m.X }, false)
	interval, word := intervalOf(sc.X.Hi - sc.X.Lo)
	if sc.X.Hi-sc.X.Lo < 7 {
		sc.X.Lo, sc.X.Hi = sc.X.Lo-3, sc.X.Hi+3
	}
	rows := timeRows(number, ds, interval)
	doubted := s.doubtedDays(rows)
	most := 0
	for i, b := range rows {
		full, label := b.name, []plot.Span{{Text: s.names.of(b.name), Italic: true}}
		if plain := map[string]string{"": "no name", others: "other names"}[b.name]; plain != "" {
			full, label = plain, []plot.Span{{Text: plain}}
		}
		y := float64(len(rows) - 1 - i)
		sc.Rows = append(sc.Rows, plot.RowLabel{Y: y + 0.18, Spans: label})
		for _, f := range b.first {
			most = max(most, b.count[f])
			sc.Cover = append(sc.Cover, plot.Mark{X: f + interval/2, Y: y}, plot.Mark{X: f + interval/2, Y: y + 0.3})
			sc.Data = append(sc.Data, []string{full, plot.DayOf(f).Format("2006-01-02"), strconv.Itoa(b.count[f])})
		}
		for _, m := range doubted[i] {
			m.Y = y + 0.1
			sc.Marks = append(sc.Marks, m)
		}
	}
	sc.Y = plot.Axis{Lo: -0.15, Hi: float64(len(rows)) - 0.1, Hidden: true}
	sc.Height = float64(36 + 30*len(rows))
	sc.Under = append(sc.Under, barLayer(rows, interval, most))
	sc.Caption = fmt.Sprintf("Intervals of %s; the tallest bar is %s.", word, record.Plural(most, "capture"))
	sc.Desc = fmt.Sprintf("Numbers of captures by %s for each taxon, from %s to %s.", word, plot.DayOf(sc.X.Lo).Format("2006-01-02"), plot.DayOf(sc.X.Hi).Format("2006-01-02"))
	return sc, true
}

// timeRows chooses the names that have their own row, and counts the
// captures of each row by interval.
func timeRows(number map[string]int, ds *days, interval float64) []bars {
	together := number[others] > 0
	delete(number, others)
	names, rest := frequent(number), []string{others}
	if together || len(names) > maxTaxa {
		own := min(len(names), maxTaxa-1)
		rest = append(names[own:len(names):len(names)], others)
		names = append(names[:own:own], others)
	}
	rows := make([]bars, len(names))
	for i, name := range names {
		rows[i] = bars{name: name, of: []string{name}}
		if name == others {
			rows[i].of = rest
		}
		rows[i].fill(ds, interval)
	}
	return rows
}

// fill counts the captures that no entry doubts by interval.
func (b *bars) fill(ds *days, interval float64) {
	b.count = map[float64]int{}
	named := map[string]bool{}
	for _, name := range b.of {
		named[name] = true
	}
	for _, on := range ds.by {
		for _, k := range on.of {
			if k.plain > 0 && named[k.name] {
				b.count[math.Floor(on.day/interval)*interval] += k.plain
			}
		}
	}
	b.first = slices.Sorted(maps.Keys(b.count))
}

// doubtedDays are the marks of captures whose date is doubted, for each row.
func (s *studio) doubtedDays(rows []bars) [][]plot.Mark {
	byName := map[string][]plot.Mark{}
	known := map[string]bool{}
	for _, b := range rows {
		for _, name := range b.of {
			known[name] = true
		}
	}
	for _, c := range s.kept {
		if !c.dated || len(c.flags) == 0 {
			continue
		}
		name := c.group.taxon
		if !known[name] {
			name = others
		}
		if no := c.fieldNo(termDateName, c.dateAt); no != 0 {
			byName[name] = append(byName[name], plot.Mark{X: c.day, Style: plot.Style{Shape: plot.Disc, Ink: plot.InkOne}, No: no, Note: func() plot.Note {
				return plot.Note{Text: c.key + ", " + c.date, AtX: c.date, Line: []string{c.key, c.group.taxon, c.date}}
			}})
		}
	}
	out := make([][]plot.Mark, len(rows))
	for i, b := range rows {
		for _, name := range b.of {
			out[i] = append(out[i], byName[name]...)
		}
	}
	return out
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

// barLayer draws the bars of every row on its own foot line.
func barLayer(rows []bars, interval float64, most int) plot.Layer {
	return func(a plot.Area) {
		for i, b := range rows {
			foot := float64(len(rows) - 1 - i)
			a.Line(plot.Stroke{Ink: plot.InkLine, Width: 0.6}, a.Min.X, a.AtY(foot), a.Max.X, a.AtY(foot))
			for _, f := range b.first {
				x := a.AtX(f + interval/2)
				if x < a.Min.X || x > a.Max.X {
					continue
				}
				w := interval / (a.X.Hi - a.X.Lo) * (a.Max.X - a.Min.X) * 0.8
				w = min(max(w, 1), 7) / 2
				low, high := a.AtY(foot), a.AtY(foot+0.8*float64(b.count[f])/float64(most))
				column := a.Path()
				column.Through(plot.Point{X: x - w, Y: low}, plot.Point{X: x - w, Y: high}, plot.Point{X: x + w, Y: high}, plot.Point{X: x + w, Y: low})
				a.Fill(column, plot.InkOne)
			}
		}
	}
}
