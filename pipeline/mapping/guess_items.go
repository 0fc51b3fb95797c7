package mapping

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// findItems makes an item of every column, and one item of columns whose
// headings are alike but for a number, can be a measurement, and agree in their
// values.
func (g *guesser) findItems() {
	sides := g.sided()
	groups := map[string][]int{}
	for i := range g.table.Columns {
		if base := g.replicateOf(i); base != "" {
			base += " " + sides[i]
			groups[base] = append(groups[base], i)
		}
	}
	first := map[int][]int{}
	series := map[int]bool{}
	visits, days := g.visitDays()
	restates := map[int]string{}
	for _, columns := range groups {
		columns = g.withoutRestated(columns, restates)
		if len(columns) < 2 {
			continue
		}
		if !slices.ContainsFunc(columns, func(i int) bool { return g.readings[i].ofVisit() || visits[g.readings[i].number] }) && g.replicated(columns) {
			first[columns[0]] = columns
			continue
		}
		for _, i := range columns {
			series[i] = true
		}
	}
	g.sameAges(series)
	later := g.contrasted(series)
	for i, r := range g.readings {
		later[i] = later[i] || slices.Contains(days, i) && i != days[0]
		series[i] = (series[i] || visits[r.number] && g.replicateOf(i) != "") && !slices.Contains(days, i)
	}
	observers := g.observed()
	in := map[int]bool{}
	for i, c := range g.table.Columns {
		if in[i] {
			continue
		}
		it := &item{columns: []int{i}, heading: c.Heading, series: series[i], later: later[i], restates: restates[i], observer: observers[i]}
		if it.side = sides[i]; it.side != "" {
			it.heading = g.readings[i].whole
		}
		if it.observer != "" {
			it.heading, _ = byPerson(&c)
			g.readings[i] = g.know.read(it.heading)
		}
		if columns := first[i]; columns != nil {
			it.columns, it.heading, it.replicates = columns, g.replicateOf(i), nil
			for _, k := range columns {
				in[k] = true
				it.replicates = append(it.replicates, max(g.readings[k].number, 0))
			}
		}
		g.items = append(g.items, it)
	}
	for _, it := range g.items {
		it.number()
		it.unit = g.unitOf(it)
	}
}

// withoutRestated takes away the columns that give the numbers of the first in another
// unit, for each of which restates gets the heading of that: they are no second reading.
func (g *guesser) withoutRestated(columns []int, restates map[int]string) (rest []int) {
	for _, i := range columns {
		if len(rest) > 0 && g.restated(rest[0], i) {
			restates[i] = g.table.Columns[rest[0]].Heading
			continue
		}
		rest = append(rest, i)
	}
	return rest
}

// restated reports whether the numbers of column b are those of a in another unit, to
// the last digits of both.
func (g *guesser) restated(a, b int) bool {
	from, to := g.unitWritten(a), g.unitWritten(b)
	one, ok := inUnit(1, from, to)
	if !ok || from == to {
		return false
	}
	x, y := g.profiles[a], g.profiles[b]
	step := math.Pow10(-x.decimals)*one + math.Pow10(-y.decimals)
	within := 0.51 * step // half a step of either, and a little for what a computer rounds
	if quantity.Dimension(from) == "time" {
		within = step // ages are given in full years (common practice)
	}
	n, same := 0, 0
	for i := range x.numbers {
		if x.numbers[i] > 0 && y.numbers[i] > 0 {
			n++
			same += int(share(math.Abs(x.numbers[i]*one-y.numbers[i]) <= within))
		}
	}
	return n >= 5 && float64(same) >= nearlyAll*float64(n)
}

// visitDays returns the numbers of visits that have a column for their day each,
// "Date 1" and "Date 2", or "1st capture" and "2nd capture", and these columns: what has the number of one was measured
// on that day.
func (g *guesser) visitDays() (numbers map[int]bool, columns []int) {
	numbers = map[int]bool{}
	for i, r := range g.readings {
		if r.number >= 0 && !r.year && g.profiles[i].dates > 0.8 && g.know.ofVisit(strings.Join(g.know.without(r.words, fillerWord), "")) {
			numbers[r.number] = true
			columns = append(columns, i)
		}
	}
	if len(numbers) < 2 {
		return nil, nil
	}
	return numbers, columns
}

// ofVisit reports whether the rest of a heading beside a number is a word for a day or a
// place, or says nothing but which visit it is.
func (k *knowledge) ofVisit(rest string) bool {
	return k.dayOrPlace(rest) || slices.Contains([]string{"", "st", "nd", "rd", "th"}, rest)
}

// sameAges counts a column that is alone among those of a series where its
// heading has the number of one: wing12 beside mass6 and mass12.
func (g *guesser) sameAges(series map[int]bool) {
	ages := map[int]bool{}
	for i := range series {
		ages[g.readings[i].number] = true
	}
	for i, r := range g.readings {
		if r.number > 2 && ages[r.number] && g.replicateOf(i) != "" {
			series[i] = true
		}
	}
}

// contrasted counts the columns of measurements whose headings are told apart by
// words that exclude each other: "Male SVL" and "Female mass" are not of one
// animal, "initial mass" and "final mass" not of one capture. Of days and places
// told apart so it returns those that are not the first: "Recap date" beside "Tag
// date".
func (g *guesser) contrasted(series map[int]bool) (later map[int]bool) {
	later = map[int]bool{}
	for _, words := range g.know.contrasts {
		said, when := map[string][]int{}, map[string]map[string]int{}
		for i, r := range g.readings {
			for _, w := range words {
				if !slices.Contains(r.words, w) {
					continue
				}
				rest := slices.DeleteFunc(g.know.without(r.words, fillerWord), func(o string) bool { return o == w })
				switch key := strings.Join(rest, ""); {
				case g.isMeasurement(key) || g.isMass(key):
					said[w] = append(said[w], i)
				case g.know.dayOrPlace(key):
					if when[key] == nil {
						when[key] = map[string]int{}
					}
					when[key][w] = i
				}
			}
		}
		for _, of := range when {
			for w, i := range of {
				if _, both := of[words[0]]; both && w != words[0] {
					later[i] = true
				}
			}
		}
		if len(said) < 2 {
			continue
		}
		for _, columns := range said {
			for _, i := range columns {
				series[i] = true
			}
		}
	}
	return later
}

// dayOrPlace reports whether a heading stands for the day or the place of a
// capture.
func (k *knowledge) dayOrPlace(key string) bool {
	return slices.ContainsFunc(k.headings[key], func(h vocabulary.Heading) bool {
		return h.Role == vocabulary.HeadingTerm && (h.Value == "eventDate" || slices.Contains(placeTerms, h.Value))
	})
}

// namesVisit reports whether a text begins with a word that stands over visits and
// not over places: "Night 2 - light rain".
func (k *knowledge) namesVisit(text string) bool {
	first, rest, _ := strings.Cut(text, " ")
	visit := false
	for _, h := range k.headings[vocabulary.Fold(first)] {
		if slices.Contains(placeTerms, h.Value) {
			return false
		}
		visit = visit || h.Value == "eventID"
	}
	return visit && rest != ""
}

// observed returns the observers of columns that are under one measurement,
// one for each person: the same names are under every such measurement, and
// the numbers agree as those of one animal do.
func (g *guesser) observed() map[int]string {
	groups := map[string][]int{}
	for i := range g.table.Columns {
		what, name := byPerson(&g.table.Columns[i])
		r := g.know.read(what)
		key := strings.Join(g.know.without(r.words, fillerWord), "")
		if (g.isMeasurement(r.whole) || g.isMeasurement(key)) && personal().MatchString(name) && !g.saysSomething(name) {
			groups[what] = append(groups[what], i)
		}
	}
	people := map[string]int{}
	for what, columns := range groups {
		if len(columns) < 2 { // one person measured it
			delete(groups, what)
			continue
		}
		for _, i := range columns {
			_, name := byPerson(&g.table.Columns[i])
			people[name]++
		}
	}
	out := map[int]string{}
	for _, columns := range groups {
		for k, i := range columns {
			_, name := byPerson(&g.table.Columns[i])
			shift, spread, n := g.ratio(columns[0], i)
			if people[name] < len(groups) || len(groups) < 2 || k > 0 && (n < 5 || math.Abs(shift) > replicateShift || spread > replicateSpread) {
				return nil
			}
			out[i] = name
		}
	}
	return out
}

// byPerson parts a heading from the name behind it, or below it.
func byPerson(c *record.Column) (what, name string) {
	if len(c.Parts) == 2 { // a heading over several columns is written in the first of them
		name = strings.TrimSpace(c.Parts[1])
		return strings.TrimSpace(strings.TrimSuffix(c.Heading, name)), name
	}
	at := strings.LastIndexAny(c.Heading, " _")
	if at < 0 {
		return c.Heading, ""
	}
	return strings.TrimSpace(c.Heading[:at]), c.Heading[at+1:]
}

// saysSomething reports whether a text is a heading or a word of headings, or
// the name of a month.
func (g *guesser) saysSomething(text string) bool {
	r := g.know.read(text)
	if len(g.know.headings[vocabulary.Fold(text)]) > 0 || r.month != "" || calendar.Month(text) > 0 {
		return true
	}
	for _, words := range g.know.wordKinds {
		if slices.ContainsFunc(r.words, func(w string) bool { return words[w] }) {
			return true
		}
	}
	return false
}

// replicateOf returns the words of a heading without its number, or "" where they
// name no measurement, or where the number belongs to the name (P8).
func (g *guesser) replicateOf(column int) string {
	r := g.readings[column]
	if r.number >= 0 && g.isMeasurement(r.whole) {
		return ""
	}
	for _, words := range [][]string{r.words, g.know.without(r.words, fillerWord)} {
		key := ""
		for _, w := range words {
			if w != r.month {
				key += w
			}
		}
		if key != "" && (g.isMeasurement(key) || (r.number >= 0 || r.month != "") && g.isMass(key)) {
			return key
		}
	}
	return ""
}

// ofVisit reports whether a heading names one visit among several.
func (r reading) ofVisit() bool { return r.year || r.day || r.month != "" }

func (g *guesser) isMeasurement(text string) bool {
	return slices.ContainsFunc(g.know.headings[vocabulary.Fold(text)], func(h vocabulary.Heading) bool {
		return h.Role == vocabulary.HeadingMeasurement
	})
}

func (g *guesser) isMass(key string) bool {
	return slices.ContainsFunc(g.know.headings[key], func(h vocabulary.Heading) bool {
		return h.Role == vocabulary.HeadingWeighing && h.Value == record.Net
	})
}

// How far the numbers of two replicates may lie from each other: the middle of
// the logarithms of their ratios, and of what is left of these.
const (
	replicateShift  = 0.07
	replicateSpread = 0.10
)

// replicated reports whether the columns repeat each other. Where too few rows
// have numbers in both, those that are numbered from 1 on count as replicates.
func (g *guesser) replicated(columns []int) bool {
	for k := 1; k < len(columns); k++ {
		a, b := columns[k-1], columns[k]
		if from, to := g.unitWritten(a), g.unitWritten(b); g.readings[a].number == g.readings[b].number && (from == to || from == "" || to == "") {
			continue // the heading is the same; pounds and ounces may be one reading
		}
		shift, spread, n := g.ratio(a, b)
		if n >= 5 && (math.Abs(shift) > replicateShift || spread > replicateSpread) {
			return false
		}
		if n < 5 && g.readings[b].number > len(columns) {
			return false
		}
	}
	return true
}

// ratio returns the median logarithm of b/a, the median distance from it, and the
// number of rows with positive numbers in both.
func (g *guesser) ratio(a, b int) (shift, spread float64, n int) {
	x, y := g.profiles[a].numbers, g.profiles[b].numbers
	scale := 1.0
	if from, to := g.unitWritten(a), g.unitWritten(b); from != to {
		if one, ok := inUnit(1, to, from); ok {
			scale = one
		}
	}
	var logs []float64
	for i := range x {
		if x[i] > 0 && y[i] > 0 {
			logs = append(logs, math.Log(y[i]/x[i]*scale))
		}
	}
	if len(logs) == 0 {
		return 0, 0, 0
	}
	slices.Sort(logs)
	shift = logs[len(logs)/2]
	for i := range logs {
		logs[i] = math.Abs(logs[i] - shift)
	}
	slices.Sort(logs)
	return shift, logs[len(logs)/2], len(logs)
}

// number gives the columns of a group replicate numbers from 1 where the
// headings do not hold a different number each.
func (it *item) number() {
	if it.replicates == nil {
		return
	}
	sorted := slices.Clone(it.replicates)
	slices.Sort(sorted)
	if sorted[0] < 1 || len(slices.Compact(sorted)) < len(it.replicates) {
		for i := range it.replicates {
			it.replicates[i] = i + 1
		}
	}
}

// unitOf finds the unit of an item: in the heading, in the unit row, or beside
// the numbers.
func (g *guesser) unitOf(it *item) string {
	return cmp.Or(g.unitWritten(it.columns[0]), g.profiles[it.columns[0]].unit)
}

// withUnit is the heading of an item, with the unit of its unit row or of its cells in
// brackets behind it, be it a known one or not.
func (g *guesser) withUnit(it *item) string {
	c := &g.table.Columns[it.columns[0]]
	if unit := cmp.Or(strings.Trim(c.Unit, " ()[]"), g.profiles[it.columns[0]].wordBehind()); unit != "" {
		return c.Heading + " (" + unit + ")"
	}
	return c.Heading
}

// unitWritten is the unit that the heading or the unit row of a column gives.
func (g *guesser) unitWritten(i int) string {
	if code := g.readings[i].unit; code != "" {
		return code
	}
	if code, ok := quantity.FindUnit(strings.Trim(g.table.Columns[i].Unit, " ()[]")); ok {
		return code
	}
	return g.legends[i].unit
}
