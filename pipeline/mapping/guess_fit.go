package mapping

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

// fit weighs what the values of an item say of a candidate. Scores are
// logarithms of odds: 3 is strong support, -5 all but rules it out.
func (g *guesser) fit(it *item, c *candidate) {
	p := g.profiles[it.columns[0]]
	if p.filled == 0 {
		c.support(-0.7, "") // a column with values goes first
	}
	if c.partial && c.weight < 0.62 {
		c.support(-1.5, "") // a word left over, beside one of several meanings
	}
	switch c.meaning.Role {
	case record.Term:
		if p.filled > 0 {
			g.fitTerm(it, c, p)
		}
	case record.Measurement:
		g.fitMeasurement(it, c, p, g.know.measurements[c.meaning.Measurement])
	case record.WeighPart:
		g.fitWeighing(it, c, p)
	case record.NameColumn:
		known := p.ofTexts(func(t string) bool { return g.know.namesMeasurement(t) || len(g.know.termsCalled(t)) > 0 })
		c.support(balance(known, 3, 6), "%s are names of measurements, or of other properties of an animal", ofValues(known))
	case record.UnitColumn:
		known := p.ofTexts(func(t string) bool { _, ok := quantity.FindUnit(t); return ok })
		c.support(balance(known, 3, 6), "%s are units", ofValues(known))
	case record.ValueColumn:
		c.support(balance(p.numeric, 0, 4), "")
	}
}

// balance turns a share into support: all of it gives plus, none gives minus.
func balance(share, plus, minus float64) float64 { return plus*share - minus*(1-share) }

var (
	personal        = pattern.Of(`^(\p{Lu}{2,4}|(\p{Lu}\.? ?){0,2}\p{Lu}\p{Ll}+.*)$`)
	smallInitials   = pattern.Of(`^\p{Ll}{2,3}$`)
	clipLike        = pattern.Of(`^\d{1,2}(-\d{1,2}){1,3}$`) // toes 2-7-11, which are no day under a heading that says so
	labelWithNumber = pattern.Of(`^\p{L}{1,4}[ .-]?\d+$`)    // R12, trap 7
	digits          = pattern.Of(`\d+`)
	// globalIdentifier is a UUID (RFC 9562), begins as a URI does (RFC 3986), or names
	// institution, collection and number, as the examples of dwc:occurrenceID do.
	globalIdentifier = pattern.Of(`(?i)^(urn:|https?://|[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$|[a-z-]+:[a-z -]+:[^\s:]+$)`)
	mediaName        = pattern.Of(`(?i)(img|dsc|dscn|\.jpe?g|\.png|\.wav|photo|foto|^p?\d{3,}$)`)
)

// shapes are what the values of terms match: "Holotype", "paratipo"; "(Schreber, 1780)".
var shapes = map[string]func() *regexp.Regexp{
	"typeStatus":               pattern.Of(`(?i)^(h?[oó]lo|par[aá]|ne[oó]|lect[oó]|paralect[oó]|s[yií]n|al[oó]|allo)-?t[yi]p`),
	"scientificNameAuthorship": pattern.Of(`^\(?\p{Lu}.*\b(1[789]|20)\d\d\)?$`),
}

// fitTerm weighs the values against what those of the term look like.
func (g *guesser) fitTerm(it *item, c *candidate, p *profile) {
	v := g.know.values[c.meaning.Term]
	text := 1 - p.numeric
	if g.readings[it.columns[0]].unit != "" && v.Minimum == v.Maximum && !c.named {
		c.support(-4, "") // a unit is over numbers
	}
	switch v.Kind {
	case kindDate:
		if packed := p.ofTexts(calendar.EightDigits); packed > 0.9 {
			c.support(3*packed, "%s are year, month and day without separators", ofValues(packed))
			return
		}
		if c.weight > 0 && !c.partial && p.sixDigits() && (c.weight == 1 || p.distinct >= fewestPacked) {
			c.support(3, "the values are days of six digits, which read as days in one order only")
			return
		}
		if c.weight == 1 && !c.partial && p.ofTexts(calendar.DayMonth) > 0.9 {
			c.support(3, "the values can be days and months without a year")
			return
		}
		if days := p.whole * p.numeric * p.within(firstDayNumber, lastDayNumber); days > 0.9 && c.weight > 0 && !c.partial {
			c.support(3*days, "%s can be spreadsheet day numbers", ofValues(days))
			return
		}
		c.support(balance(p.dates, 4, 6), "%s look like dates", ofValues(p.dates))
	case kindTime:
		clock := p.ofTexts(clockLike)
		c.support(balance(clock, 3, 5), "%s can be times of day", ofValues(clock))
	case kindWord:
		g.fitWords(c, p, g.know.listOf(c.meaning.Term))
	case kindName:
		g.fitNames(c, p)
	case kindVernacular:
		g.fitVernacular(c, p)
	case kindEpithet:
		g.fitEpithet(c, p)
	case kindRank:
		one := p.ofTexts(func(t string) bool { return rankName().MatchString(t) && !g.know.everyday[vocabulary.Fold(t)] })
		c.support(balance(one, 1, 6), "%s look like one-word names", ofValues(one))
	case kindShape:
		shaped := p.ofTexts(shapes[c.meaning.Term]().MatchString)
		c.support(balance(shaped, 7, 1)-5*share(shaped == 0), "%s have the shape of it", ofValues(shaped))
	case kindNumber:
		low, high := v.Minimum, v.Maximum
		if metres, ok := inUnit(1, it.unit, "m"); ok && strings.HasSuffix(c.meaning.Term, "InMeters") {
			low, high = low/metres, high/metres
			c.support(-6*share(it.unit == "cm" || it.unit == "mm"), "") // nobody maps a place so
		}
		inside := p.numeric * p.within(low, high)
		if named := p.ofTexts(func(t string) bool { return calendar.Month(t) > 0 }); c.meaning.Term == "month" && named > inside {
			c.support(balance(named, 1, 6), "%s are months", ofValues(named))
			return
		}
		c.support(balance(inside, 1, 6), "%s are numbers between %g and %g", ofValues(inside), low, high)
		if slices.Contains([]string{"individualCount", "year", "month", "day", "startDayOfYear"}, c.meaning.Term) {
			c.support(balance(p.whole, 0.5, 4), "")
		}
		if it.unit != "" && quantity.Dimension(it.unit) != "length" {
			c.support(-4, "")
		}
		if (c.meaning.Term == "month" || c.meaning.Term == "day") && p.whole == 1 && g.besideYear() {
			c.support(1.5, "the year has its own column")
		}
	case kindLatitude, kindLongitude:
		c.support(-9*share(it.unit != "" && quantity.Dimension(it.unit) != "angle" && p.degrees < 0.5), "") // the d of 51d56'N is no day
		inside := p.numeric * p.within(v.Minimum, v.Maximum) * (1 - p.whole)
		switch c.meaning.Angle {
		case "degrees":
			inside = p.numeric * p.within(v.Minimum, v.Maximum)
		case "minutes", "seconds":
			inside = p.numeric * p.within(0, 60)
		}
		c.support(balance(max(inside, p.degrees), 2, 6), "%s can be a %s", ofValues(max(inside, p.degrees)), v.Kind)
	case kindNorthing, kindEasting:
		inside := p.numeric * p.within(v.Minimum, v.Maximum)
		if strings.Contains(vocabulary.Fold(it.heading), "verbatim") {
			inside = max(inside, p.degrees)
		}
		c.support(balance(inside, 3, 6), "%s can be its %s", ofValues(inside), v.Kind)
	case kindPair:
		two := p.ofTexts(func(t string) bool { return len(digits().FindAllString(t, -1)) > 1 }) * (1 - p.numeric)
		two = max(two, p.ofTexts(func(t string) bool { return len(digits().FindAllString(t, -1)) >= twoAngles }))
		two = max(two, p.ofTexts(func(t string) bool { return strings.Count(t, "°")+strings.Count(t, "º") > 1 }))
		c.support(balance(two, 2, 5), "%s hold several numbers", ofValues(two))
	case kindIdentifier:
		g.fitIdentifier(c, p)
	case kindLabel:
		c.support(-6*share(slices.Contains(placeTerms, c.meaning.Term))*g.ofVocabularies(p), "")
		c.support(-3*p.numeric*(1-p.whole)-4*p.moments()-2*p.spaced*share(p.length > 25), "")
	case kindMedia:
		c.support(2*p.ofTexts(mediaName().MatchString)-4*p.numeric*(1-p.whole), "")
	case kindPerson:
		people := p.ofTexts(personal().MatchString)
		if c.weight >= generalHeading && p.unique < 0.5 {
			people = max(people, p.ofTexts(smallInitials().MatchString))
		}
		c.support(balance(people, 1, 1)-5*p.numeric-3*p.moments()-share(p.filled > 10 && p.unique > 0.8), "%s can be names or initials of people", ofValues(people))
	case kindPlace:
		c.support(-6*g.ofVocabularies(p), "")
		c.support(0.5-2.5*p.numeric-4*p.moments()-share(p.filled > 10 && p.unique > 0.9), "%s in %s", record.Plural(p.distinct, "different text"), record.Plural(p.filled, "row"))
	default:
		if strings.HasPrefix(c.meaning.Term, "verbatim") || c.named && v.Kind == "" {
			return // whatever was written
		}
		minus := 4.0
		if strings.HasSuffix(c.meaning.Term, "Remarks") {
			minus = 1 // codes of remarks
		}
		c.support(balance(text, 0.5, minus)-4*p.moments()*share(p.moments() > 0.5), "%s are text", ofValues(text))
	}
}

// twoAngles is how many numbers two angles of degrees and minutes have.
const twoAngles = 4

// fewestPacked is the number of different days of six digits from which they are no
// numbers of nights: of any such number about one in ten is a day in some order.
const fewestPacked = 3

// besideYear reports whether a column may hold the year.
func (g *guesser) besideYear() bool {
	return g.mayHold(func(c *candidate) bool { return c.meaning.Term == "year" && c.weight >= generalHeading })
}

// ofVocabularies returns the share of texts that say what an animal is or how it
// was caught, which are not names of places.
func (g *guesser) ofVocabularies(p *profile) float64 {
	return p.ofTexts(func(t string) bool {
		if len([]rune(t)) < 3 {
			return false
		}
		for _, list := range g.know.lists {
			if knownWith(list, nil)(t) {
				return true
			}
		}
		return vocabulary.SaysRecaught(t)
	})
}

// The day numbers of spreadsheets from 1954 to 2064, counted from 1900.
const firstDayNumber, lastDayNumber = 20_000, 60_000

// sixDigits reports whether the texts of a column are days of six digits, written in an
// order that shows.
func (p *profile) sixDigits() bool {
	var e calendar.Evidence
	for _, t := range p.texts {
		if len(t) != 6 || strings.Trim(t, "0123456789") != "" {
			return false
		}
		e.Add(t)
	}
	order, _ := e.Decide(calendar.Unknown)
	return order != calendar.Unknown
}

// saysAnimal reports whether each word of a text says something of the animal.
func (g *guesser) saysAnimal(text string) bool {
	words := vocabulary.Pieces(text)
	for _, w := range words {
		if !slices.ContainsFunc(vocabulary.BesideTerms, func(term string) bool {
			list := g.know.listOf(term)
			return list != nil && knownWith(list, nil)(w)
		}) {
			return false
		}
	}
	return len(words) > 0
}

// fitWords weighs words of a vocabulary. Signs that mean "not known" or a
// number alone do not speak for it.
func (g *guesser) fitWords(c *candidate, p *profile, list *vocabulary.List) {
	if list == nil {
		return
	}
	own := p.ofTexts(knownWith(list, c.meaning.Vocabulary))
	known := own
	if slices.Contains(vocabulary.BesideTerms, c.meaning.Term) && known >= 0.3 {
		known = max(known, p.ofTexts(g.saysAnimal))
	}
	minus := 5.0
	if c.meaning.Term == "reproductiveCondition" || c.meaning.Term == "samplingProtocol" {
		minus = 1 + 2*p.numeric + 4*p.ofTexts(labelWithNumber().MatchString) // open vocabularies, and codes
	}
	switch {
	case c.weight > 0:
	case c.meaning.Term != "sex":
		known *= p.ofTexts(func(t string) bool { return len([]rune(t)) > 2 })
	case p.length == 1 && own < 0.9:
		known = 0 // of the letters L, M and H two are known words for it by chance
	}
	c.support(balance(known, 3.5, minus), "%s are known words for it", ofValues(known))
}

// fitIdentifier weighs numbers and labels that tell animals apart.
func (g *guesser) fitIdentifier(c *candidate, p *profile) {
	moments := p.moments()
	if c.weight >= generalHeading {
		moments = max(0, moments-p.ofTexts(clipLike().MatchString))
	}
	c.support(-5*moments-4*p.numeric*(1-p.whole)-3*share(p.length > 25), "")
	if p.filled < 3 {
		return
	}
	if c.meaning.Term == "organismID" {
		c.support(float64(p.filled)/float64(p.rows)-1, "") // of two marks the one that more animals have
	}
	one := p.onceEach() && p.filled > p.rows*9/10
	switch term := c.meaning.Term; {
	case one && (term == "organismID" || term == "otherCatalogNumbers"):
		c.support(0.3, "no value occurs twice")
	case one:
		c.support(1.5+share(c.weight == 0)-share(c.partial), "no value occurs twice")
	case term == "recordNumber" && p.counting > 0.8:
		c.support(2, "the numbers increase from row to row, and start again")
	case term == "organismID" || term == "otherCatalogNumbers" || term == "materialSampleID":
		c.support(balance(p.unique, 0.8, 1), "%s in %s", record.Plural(p.distinct, "different value"), record.Plural(p.filled, "row"))
	default:
		c.support(balance(p.unique, 0, 3), "%s in %s", record.Plural(p.distinct, "different value"), record.Plural(p.filled, "row"))
	}
}

// fitMeasurement weighs the unit and size of the numbers, and settles the unit
// of the candidate: as written, or else the usual one, or the one that makes
// the values plausible.
func (g *guesser) fitMeasurement(it *item, c *candidate, p *profile, m vocabulary.Measurement) {
	c.meaning.Unit = m.Unit
	if it.unit != "" {
		if !sameKind(it.unit, m.Unit) {
			c.support(-9, "")
			return
		}
		c.meaning.Unit = it.unit
		c.support(0.8, "the unit %s suits", it.unit)
	} else if quantity.HasUnreadUnit(g.withUnit(it)) {
		c.support(-9, "")
		return
	}
	g.fitScope(c, m.Scope)
	if m.Name == "waterDepth" && g.besideAny(it, ofWater) {
		c.support(2, "other columns are of the water")
	}
	if m.Name == "waterTemperature" && g.takenInWater(it) {
		c.support(1.5, "the animals or other measurements are of the water")
	}
	if it.side != "" && slices.Contains(unpaired, m.Name) {
		c.support(-6, "")
	}
	if p.filled == 0 {
		return
	}
	c.support(balance(p.numeric, 0, 6), "")
	if len(p.values) == 0 {
		return
	}
	if it.unit == "" {
		c.meaning.Unit = g.likelyUnit(p, m)
	}
	best, _ := plausible(p, m, c.meaning.Unit)
	minus := 4.0
	if it.unit != "" {
		minus = 1.5 // animals may be larger than those of most teams; the unit is what it is
	}
	c.support(balance(best, 0.8, minus), "%d numbers, median %s, %.0f %% of them plausible for it", len(p.values), number(p.median()), 100*best)
	if countedOne(m) {
		c.support(balance(p.whole, 0.5, 4), "")
	}
}

// takenInWater reports whether the animals do not leave the water, or another column is
// of its oxygen, which no meter reads without its temperature.
func (g *guesser) takenInWater(it *item) bool {
	return g.group == "fish" || g.larvae() || g.besideAny(it, []string{"dissolvedOxygen"})
}

// besideAny reports whether another column may be one of the measurements.
func (g *guesser) besideAny(it *item, measurements []string) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return o != it && o.may(func(c *candidate) bool {
			return slices.Contains(measurements, c.meaning.Measurement) && c.weight >= generalHeading
		})
	})
}

// countedOne reports whether a measurement is a count of things one by one: what a
// laboratory estimates need not be whole.
func countedOne(m vocabulary.Measurement) bool {
	return m.Dimension == "count" && m.Instrument != "laboratory"
}

// units that a field sheet may be in without saying so.
// Masses are left to what they weigh at their length.
var otherUnits = map[string][]string{"mm": {"cm"}, "cm": {"m", "mm"}, "Cel": {fahrenheit}}

func sameKind(a, b string) bool {
	return a == b || quantity.Dimension(a) != "" && quantity.Dimension(a) == quantity.Dimension(b)
}

// likelyUnit returns the unit that makes the numbers of a column most plausible
// for a measurement. The usual unit is kept unless another is clearly better, or is
// that of all lengths of the animals whose headings state one.
func (g *guesser) likelyUnit(p *profile, m vocabulary.Measurement) string {
	unit := m.Unit
	if other := g.lengthsWritten(); m.Dimension == "length" && m.Of == "" && sameKind(other, unit) && other != unit {
		if share, _ := plausible(p, m, other); share >= 0.9 {
			return other
		}
	}
	if g.ofYoung() {
		return unit // the young are smaller than what is plausible for grown animals
	}
	inside, best := plausible(p, m, unit)
	for _, other := range otherUnits[m.Unit] {
		share, score := plausible(p, m, other)
		if share > inside+0.3 || share >= inside && score > best+1 {
			unit, inside, best = other, share, score
		}
	}
	return unit
}

// lengthsWritten is the unit that the headings of lengths of the animals state, or
// "" where they state none or several.
func (g *guesser) lengthsWritten() string {
	unit := ""
	for _, it := range g.items {
		if quantity.Dimension(it.unit) != "length" || !it.may(func(c *candidate) bool {
			return c.meaning.Role == record.Measurement && c.weight >= generalHeading && g.know.measurements[c.meaning.Measurement].Of == ""
		}) {
			continue
		}
		if unit != "" && unit != it.unit {
			return ""
		}
		unit = it.unit
	}
	return unit
}

// plausible returns the share of the numbers that suit a measurement if they are
// in the unit, and the mean logarithm of their likelihood, if sizes are spread
// about the middle of the plausible range as a lognormal of which the range
// spans four standard deviations (0 where the range includes zero).
func plausible(p *profile, m vocabulary.Measurement, unit string) (share, score float64) {
	n := 0
	for _, x := range p.values {
		v, ok := x, true
		if unit != m.Unit {
			v, ok = inUnit(x, unit, m.Unit)
		}
		if ok && v >= m.Minimum && v <= m.Maximum {
			n++
		}
		if m.Minimum > 0 && v > 0 {
			z := math.Log(v/math.Sqrt(m.Minimum*m.Maximum)) / (math.Log(m.Maximum/m.Minimum) / 4)
			score -= min(z*z/2, 20)
		}
	}
	count := float64(len(p.values))
	return float64(n) / count, score / count
}

// fitWeighing weighs masses and what goes with them.
func (g *guesser) fitWeighing(it *item, c *candidate, p *profile) {
	switch c.meaning.Part {
	case record.Bag, record.Scale:
		if p.filled > 0 {
			c.support(0.5-4*p.numeric*(1-p.whole)-4*p.moments()-2*share(p.length > 20), "%s in %s", record.Plural(p.distinct, "different label"), record.Plural(p.filled, "row"))
			c.support(-2*share(p.unique > 0.9 && p.filled > 10), "")
		}
		if it.unit != "" && c.meaning.Part == record.Bag {
			c.support(-4, "")
		}
	default:
		m := g.know.measurements[map[string]string{record.Gross: "grossMass", record.Tare: "bagMass", record.Net: "bodyMass"}[c.meaning.Part]]
		g.fitMeasurement(it, c, p, m)
		if c.meaning.Part == record.Tare && len(p.values) > 10 && p.unique > 0.9 && p.whole < 0.5 {
			c.support(-0.5, "")
		}
	}
}

// number writes a value for a sentence.
func number(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }
