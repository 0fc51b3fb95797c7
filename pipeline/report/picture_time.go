package report

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"spadefoot/pipeline/record"
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
		Look: "Each bar is the number of captures in one interval, for each taxon. Look for captures outside the season, in a year without fieldwork, or on a night when nobody was out: a date written wrongly."}
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
		if c.dated {
			doubted := truth(c.fieldNo(termDateName, c.dateAt) != 0)
			ds.add(c.group.taxon, c.day, 1-doubted, doubted)
			if c.wrong {
				ds.wrong(c.day)
			}
		}
	}
	return ds
}

func (s *studio) timeScene() (scene, bool) {
	ds := s.dayCounts()
	number, n := map[string]int{}, 0
	var all []mark // one for each day, to find the window
	for name, of := range ds.by {
		for d, k := range of {
			number[name] += k.plain + k.doubted
			n += k.plain + k.doubted
			if ds.no[d] {
				continue // it never widens the axis
			}
			if k.plain > 0 {
				all = append(all, mark{x: float64(d)})
			}
			if k.doubted > 0 {
				all = append(all, mark{x: float64(d), no: unshown})
			}
		}
	}
	if n < 2 || len(all) == 0 {
		return scene{}, false
	}
	sc := scene{title: record.Plural(n, "capture"), noThin: !s.large, heading: []string{"scientificName", "from", "captures"},
		x: axis{ticks: dayTicks}}
	sc.x.lo, sc.x.hi = window(all, func(m *mark) float64 { return m.x }, false)
	interval, word := intervalOf(sc.x.hi - sc.x.lo)
	if sc.x.hi-sc.x.lo < 7 {
		sc.x.lo, sc.x.hi = sc.x.lo-3, sc.x.hi+3
	}
	rows := timeRows(number, ds, interval)
	doubted := s.doubtedDays(rows)
	most := 0
	for i, b := range rows {
		full, label := b.name, []span{{text: s.names.of(b.name), italic: true}}
		if plain := map[string]string{"": "no name", others: "other names"}[b.name]; plain != "" {
			full, label = plain, []span{{text: plain}}
		}
		y := float64(len(rows) - 1 - i)
		sc.rows = append(sc.rows, rowLabel{y + 0.18, label})
		for _, f := range b.first {
			most = max(most, b.count[f])
			sc.cover = append(sc.cover, mark{x: f + interval/2, y: y}, mark{x: f + interval/2, y: y + 0.3})
			sc.data = append(sc.data, []string{full, dayOf(f).Format("2006-01-02"), strconv.Itoa(b.count[f])})
		}
		for _, m := range doubted[i] {
			m.y = y + 0.1
			sc.marks = append(sc.marks, m)
		}
	}
	sc.y = axis{lo: -0.15, hi: float64(len(rows)) - 0.1, hidden: true}
	sc.height = float64(36 + 30*len(rows))
	sc.under = append(sc.under, barLayer(rows, interval, most))
	sc.look = fmt.Sprintf("Intervals of %s; the tallest bar is %s.", word, record.Plural(most, "capture"))
	sc.desc = fmt.Sprintf("Numbers of captures by %s for each taxon, from %s to %s.", word, dayOf(sc.x.lo).Format("2006-01-02"), dayOf(sc.x.hi).Format("2006-01-02"))
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
	for _, name := range b.of {
		for d, k := range ds.by[name] {
			if k.plain > 0 {
				b.count[math.Floor(float64(d)/interval)*interval] += k.plain
			}
		}
	}
	b.first = slices.Sorted(maps.Keys(b.count))
}

// doubtedDays are the marks of captures whose date is doubted, for each row.
func (s *studio) doubtedDays(rows []bars) [][]mark {
	byName := map[string][]mark{}
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
			byName[name] = append(byName[name], mark{x: c.day, style: style{disc, inkOne}, no: no, note: func() note {
				return note{text: c.key + ", " + c.date, atX: c.date, line: []string{c.key, c.group.taxon, c.date}}
			}})
		}
	}
	out := make([][]mark, len(rows))
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
func barLayer(rows []bars, interval float64, most int) layer {
	return func(a area) {
		for i, b := range rows {
			foot := float64(len(rows) - 1 - i)
			a.line(stroke{ink: inkLine, width: 0.6}, a.min.x, a.atY(foot), a.max.x, a.atY(foot))
			for _, f := range b.first {
				x := a.atX(f + interval/2)
				if x < a.min.x || x > a.max.x {
					continue
				}
				w := interval / (a.x.hi - a.x.lo) * (a.max.x - a.min.x) * 0.8
				w = min(max(w, 1), 7) / 2
				low, high := a.atY(foot), a.atY(foot+0.8*float64(b.count[f])/float64(most))
				column := a.path()
				column.through(point{x - w, low}, point{x - w, high}, point{x + w, high}, point{x + w, low})
				a.fill(column, inkOne)
			}
		}
	}
}
