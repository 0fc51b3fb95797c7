package mapping

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// proposeByValues adds what the values may be whatever the heading says.
func (g *guesser) proposeByValues(it *item) {
	p := g.profiles[it.columns[0]]
	if p.filled < 3 {
		return
	}
	identity := g.know.hasKind(g.readings[it.columns[0]].words, identityWord)
	for _, term := range g.know.terms {
		kind := g.know.values[term].Kind
		var may bool
		switch term {
		case "eventDate", "eventTime":
			may = (kind == kindDate && (p.dates > 0.8 || p.ofTexts(calendar.EightDigits) == 1) || kind == kindTime && p.times > 0.8) && !identity && !(it.namesMark() && p.ofTexts(clipLike().MatchString) > 0.9)
		case "sex", "lifeStage":
			may = p.numeric < 0.1 && p.moments() < 0.1 && g.knownValues(p, term) > 1
		case "typeStatus":
			may = p.ofTexts(shapes[term]().MatchString) > 0.3
		case "scientificName":
			may = p.numeric < 0.1 && p.moments() < 0.1
		case "decimalLatitude", "decimalLongitude":
			may = p.degrees > 0.8
		case "recordNumber":
			may = g.silent(it) && !g.isAxis(it) && !it.may(func(c *candidate) bool { return c.weight > 0 }) && p.unique > 0.98 && p.filled > p.rows*9/10 && p.moments() < 0.1 && p.whole+1-p.numeric > 0.9 && (p.numeric < 1 || p.counting > 0.5)
		}
		if may {
			it.add(ofTerm(term, 0, "the values suggest %s", term))
		}
	}
}

// namesMark reports whether the heading says clearly that it is of marks.
func (it *item) namesMark() bool {
	return it.may(func(c *candidate) bool { return c.meaning.Term == "organismID" && c.weight >= generalHeading })
}

// isAxis reports whether a heading is one of two letters for the axes of a map, and
// the other is over another column.
func (g *guesser) isAxis(it *item) bool {
	other := map[string]string{"x": "y", "y": "x", "e": "n", "n": "e"}[vocabulary.Fold(it.heading)]
	return other != "" && slices.ContainsFunc(g.items, func(o *item) bool { return vocabulary.Fold(o.heading) == other })
}

// knownValues counts the values of a vocabulary that are in a column: of a
// column without a heading that names it, one known letter says nothing.
func (g *guesser) knownValues(p *profile, term string) int {
	list := g.know.listOf(term)
	if list == nil {
		return 0
	}
	values := map[string]bool{}
	for _, t := range p.texts {
		if v, _, _ := list.Known(t, nil); v != "" {
			values[v] = true
		}
	}
	return len(values)
}

// relate weighs how the numbers of the columns go with each other.
func (g *guesser) relate() {
	var numeric []*item
	for _, it := range g.items {
		if p := g.profiles[it.columns[0]]; p.numeric > 0.6 && len(p.values) >= 5 {
			numeric = append(numeric, it)
		}
	}
	g.longerOfTwo()
	g.longerThanTail(numeric)
	g.besideHeadAndBody(numeric)
	length := g.surest(numeric, "snoutVentLength")
	mass := g.surest(numeric, record.Net)
	if mass == nil {
		mass = g.surest(numeric, record.Gross)
	}
	for _, it := range numeric {
		if length != nil && it != length {
			g.besideLength(it, length)
		}
		if length == nil && mass != nil && it != mass && !g.wholeMeasured(numeric) {
			g.besideMass(it, mass)
		}
	}
	if length == nil && mass == nil {
		g.cubePairs(numeric)
	}
	g.weighings(numeric)
	g.countedRows()
}

// wholeMeasured reports whether a heading says clearly that a column is a length of the
// whole animal, so that no unknown column is.
func (g *guesser) wholeMeasured(items []*item) bool {
	return slices.ContainsFunc(sizeOrder, func(name string) bool { return g.surest(items, name) != nil })
}

// countedRows supports numbers of animals where other columns are what only
// several animals have: a mean, a range, a mass of all. Where measurements have
// replicates these are the means of those.
func (g *guesser) countedRows() {
	of := false
	for _, it := range g.items {
		words := g.readings[it.columns[0]].words
		switch {
		case it.replicates != nil:
			return
		case it.derived:
			of = of || len(words) > 1 && slices.ContainsFunc(words, g.namesLength)
		case it.may(isMass):
			of = of || g.ofSeveral(it)
		}
	}
	for _, it := range g.items {
		for _, c := range it.candidates {
			if of && c.meaning.Term == "individualCount" && g.profiles[it.columns[0]].whole == 1 {
				c.support(3, "other columns are of several animals")
			}
		}
	}
}

// namesLength reports whether a word of a heading names a length or a mass.
func (g *guesser) namesLength(word string) bool {
	return g.know.measures(word, "length") || g.know.measures(word, "mass")
}

// How many times the shorter of two lengths the longer is, where one of them is
// the whole animal: a logarithm.
const (
	minLonger = 0.12
	maxLonger = 1.3
)

// longerOfTwo takes the longer of two lengths of one name that are no
// replicates for the total length: no length of an animal is longer.
func (g *guesser) longerOfTwo() {
	var two []*item
	for _, it := range g.items {
		if it.series && it.may(func(c *candidate) bool { return c.meaning.Measurement == "length" }) {
			two = append(two, it)
		}
	}
	if len(two) != 2 {
		return
	}
	shorter, longer := two[0], two[1]
	shift, _, n := g.ratio(shorter.columns[0], longer.columns[0])
	if shift < 0 {
		shorter, longer, shift = longer, shorter, -shift
	}
	if n < 5 || shift < minLonger || shift > maxLonger {
		return
	}
	shorter.series, longer.series = false, false
	for _, c := range longer.candidates {
		if c.meaning.Measurement != "totalLength" {
			c.score = min(c.score, contradicted)
		}
	}
	longer.addByValues(record.Meaning{Role: record.Measurement, Measurement: "totalLength", Unit: cmp.Or(longer.unit, "mm")}, 5,
		"it is %.1f times the length in column %q, but no length of an animal exceeds its total length", math.Exp(shift), shorter.heading)
}

// longerThanTail supports a total length that in nearly every row is longer than what
// another column certainly has, the tail.
func (g *guesser) longerThanTail(items []*item) {
	tail := g.surest(items, "tailLength")
	if tail == nil || tail.may(func(c *candidate) bool { return c.meaning.Measurement == "totalLength" }) {
		return
	}
	for _, it := range items {
		if more, n := g.larger(it, tail); n < 5 || float64(more) < nearlyAll*float64(n) || it.unit != tail.unit {
			continue
		}
		for _, c := range it.candidates {
			if c.meaning.Measurement == "totalLength" && c.weight > 0 {
				c.support(2, "it is longer than the tail in column %q", tail.heading)
			}
		}
	}
}

// besideHeadAndBody tells the tail of a mammal from its total length, which exceeds that of
// head and body.
func (g *guesser) besideHeadAndBody(items []*item) {
	body := g.surest(items, "headBodyLength")
	if body == nil {
		return
	}
	for _, it := range items {
		more, n := g.larger(it, body)
		if n < 5 || it == body || it.unit != body.unit {
			continue
		}
		longer := float64(more) >= nearlyAll*float64(n)
		for _, c := range it.candidates {
			switch {
			case c.meaning.Measurement == "totalLength" && longer && g.asLong(body, it):
				c.support(-1.5, "") // of mice and rats a tail is, and hardly any tail is so short
			case c.meaning.Measurement == "totalLength" && longer:
				c.support(1.5, "it is longer than head and body in column %q", body.heading)
			case c.meaning.Measurement == "totalLength":
				c.support(-7, "") // the whole is longer than its part
			case c.meaning.Measurement == "tailLength" && !longer && c.weight > 0:
				c.support(1.5, "it is shorter than head and body in column %q in some rows", body.heading)
			}
		}
	}
}

// asLong reports whether one length is hardly longer than another: in the middle by less
// than a quarter.
func (g *guesser) asLong(a, b *item) bool {
	return g.profiles[b.columns[0]].median() < 1.25*g.profiles[a.columns[0]].median()
}

// surest returns the item whose heading and values say clearly that it is a
// measurement or a part of a weighing.
func (g *guesser) surest(items []*item, what string) *item {
	var best *item
	score := 2.0
	for _, it := range items {
		for _, c := range it.candidates {
			if c.score > score && c.weight > 0.7 && (c.meaning.Measurement == what || c.meaning.Part == what) {
				best, score = it, c.score
			}
		}
	}
	return best
}

// power returns the slope of log y on log x (reduced major axis), the
// correlation of the logarithms, the median of y/x and the number of pairs.
func (g *guesser) power(x, y *item) (slope, r, ratio float64, n int) {
	a, b := g.profiles[x.columns[0]].numbers, g.profiles[y.columns[0]].numbers
	var sx, sy, sxx, syy, sxy float64
	ratios := &profile{}
	for i := range a {
		if !(a[i] > 0) || !(b[i] > 0) {
			continue
		}
		u, v := math.Log(a[i]), math.Log(b[i])
		sx, sy, sxx, syy, sxy = sx+u, sy+v, sxx+u*u, syy+v*v, sxy+u*v
		ratios.values = append(ratios.values, b[i]/a[i])
		n++
	}
	m := float64(n)
	vx, vy, cov := sxx-sx*sx/m, syy-sy*sy/m, sxy-sx*sy/m
	if n < 8 || !(vx > 1e-9) || !(vy > 1e-9) {
		return 0, 0, 0, n
	}
	slices.Sort(ratios.values)
	r = cov / math.Sqrt(vx*vy)
	return math.Copysign(math.Sqrt(vy/vx), r), r, ratios.median(), n
}

// besideLength weighs an item against a known snout-vent length: a mass goes
// with its cube, another length with its first power and in a usual share.
func (g *guesser) besideLength(it, length *item) {
	if more, n := g.larger(it, length); n >= 5 && 2*more < n && it.unit == length.unit {
		for _, c := range it.candidates {
			if c.meaning.Measurement == "totalLength" {
				c.support(-7, "") // the whole is longer than its part
			}
		}
	} else if n >= 5 && 2*more > n && it.unit == length.unit {
		for _, c := range it.candidates {
			if usual, ok := g.know.proportions[c.meaning.Measurement]; ok && 1.3*usual.High < 1 {
				c.support(-7, "") // and no head is longer than the body
			}
		}
	}
	slope, r, ratio, n := g.power(length, it)
	if n < 8 {
		return
	}
	if g.unknown(it) && r > 0.7 && slope > 2.2 && slope < 3.8 && (it.unit == "" || quantity.Dimension(it.unit) == "mass") {
		it.addByValues(record.Meaning{Role: record.WeighPart, Part: record.Net, Unit: cmp.Or(it.unit, "g")}, 3,
			"it scales with snout-vent length to the power of %.1f, like a mass", slope)
	}
	for _, c := range it.candidates {
		switch {
		case isMass(c) && it.unit == "" && r > 0.6 && slope > 2 && slope < 4:
			c.support(1.5, "it scales with snout-vent length to the power of %.1f", slope)
		case isMass(c) && it.unit == "" && r > 0.6 && slope < 1.7 && c.meaning.Part != record.Tare:
			c.support(-3, "")
		case c.meaning.Role == record.Measurement && quantity.Dimension(c.meaning.Unit) == "length":
			if r > 0.6 && slope > 2.2 && it.unit == "" {
				c.support(-2, "")
			}
			g.proportioned(it, length, c, ratio)
		}
	}
}

// proportioned weighs a length by its share of the snout-vent length.
func (g *guesser) proportioned(it, length *item, c *candidate, ratio float64) {
	usual, ok := g.know.proportions[c.meaning.Measurement]
	if !ok {
		return
	}
	if it.unit == "" || it.unit == length.unit {
		switch {
		case c.meaning.Measurement == "tailLength" && longestTail[g.group] > 0 && ratio > longestTail[g.group]:
			c.support(-2.5, "")
		case c.meaning.Measurement == "tailLength" && g.group == "snake", ratio >= usual.Low && ratio <= usual.High:
			middle := math.Sqrt(usual.Low * usual.High)
			c.support(1-0.6*math.Abs(math.Log(ratio/middle)), "it is %.0f %% of the snout-vent length", 100*ratio)
		case usual.nearly(ratio):
			c.support(-0.5, "")
		default:
			c.support(-2.5, "")
		}
	}
}

// longestTail is by group the share of the snout-vent length that tails seldom exceed
// (common practice).
var longestTail = map[string]float64{"salamander": 1.7, "snake": 0.7}

// besideMass finds the length under an unknown heading that a known mass goes
// with as its cube. Of several the longest counts most.
func (g *guesser) besideMass(it, mass *item) {
	slope, r, _, _ := g.power(it, mass)
	if !g.unknown(it) || r < 0.7 || slope < 2.2 || slope > 3.8 || it.unit != "" && quantity.Dimension(it.unit) != "length" {
		return
	}
	it.addByValues(record.Meaning{Role: record.Measurement, Measurement: g.wholeLength(), Unit: cmp.Or(it.unit, "mm")}, 2.2+0.2*math.Log10(g.profiles[it.columns[0]].median()),
		"the mass scales with it to the power of %.1f, as with a length", slope)
}

// wholeLength is the length that is usually taken of the animals of the table
// together with their mass, where nothing says which it is.
func (g *guesser) wholeLength() string {
	if g.know.lacks[g.group]["snoutVentLength"] {
		return "length"
	}
	return "snoutVentLength"
}

// maxUnknown is the number of columns under unknown headings up to which each is
// held against every other.
const maxUnknown = 50

// cubePairs looks under unknown headings for a length and a mass.
func (g *guesser) cubePairs(numeric []*item) {
	var unknown []*item
	for _, it := range numeric {
		if g.unknown(it) {
			unknown = append(unknown, it)
		}
	}
	if len(unknown) > maxUnknown {
		return
	}
	var x, y *item
	best, exponent := 0.75, 0.0
	for _, a := range unknown {
		for _, b := range unknown {
			if a == b {
				continue
			}
			if slope, r, _, _ := g.power(a, b); slope > 2.3 && slope < 3.7 && r > best {
				x, y, best, exponent = a, b, r, slope
			}
		}
	}
	if x == nil {
		return
	}
	x.addByValues(record.Meaning{Role: record.Measurement, Measurement: g.wholeLength(), Unit: cmp.Or(x.unit, "mm")}, 2.5, "column %q scales with it to the power of %.1f, as a mass does with a length", y.heading, exponent)
	y.addByValues(record.Meaning{Role: record.WeighPart, Part: record.Net, Unit: cmp.Or(y.unit, "g")}, 2.5, "it scales with column %q to the power of %.1f, as a mass does with a length", x.heading, exponent)
}

// unknown reports whether the heading says nothing of what the item is: it has
// no word, and no candidate that is likely by it. A word that nobody here knows
// says that it is something else.
func (g *guesser) unknown(it *item) bool {
	if it.derived || it.later || it.series || g.readings[it.columns[0]].year || !g.silent(it) || g.isAxis(it) {
		return false
	}
	for _, c := range it.candidates {
		if c.weight > 0.65 && c.score > 1 {
			return false
		}
	}
	return true
}

// silent reports whether the heading has no word.
func (g *guesser) silent(it *item) bool {
	return !slices.ContainsFunc(g.readings[it.columns[0]].words, func(w string) bool { return len([]rune(w)) > 1 })
}

// addByValues supports a meaning for which the values speak, be it by themselves.
func (it *item) addByValues(m record.Meaning, score float64, reason string, args ...any) *candidate {
	c := it.first(func(c *candidate) bool { return meaningKey(c.meaning) == meaningKey(m) })
	if c == nil {
		c = &candidate{meaning: m, score: byValuesAlone}
		it.candidates = append(it.candidates, c)
	}
	c.support(score, reason, args...)
	return c
}

func isMass(c *candidate) bool { return c.meaning.IsMass() }
