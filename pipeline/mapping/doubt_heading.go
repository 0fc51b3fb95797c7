package mapping

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// againstShortHeadings are objections to a measurement whose heading stands for other
// things too.
var againstShortHeadings = []objection{
	{why: "two letters do not say what the length is of, and there is no other length",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "totalLength" && utf8.RuneCountInString(t.candidate.heading) <= 2 && t.group != "fish" && !t.besideLengths(t.it) && (t.unstated() || !t.fitsMass(t.it, t.candidate))
		}},
	{why: "the heading does not say what the total is of, and there is no other length",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "totalLength" && t.unstated() && len(t.know.without(t.reading.words, adjectiveWord)) == 0 && !t.besideLengths(t.it)
		}},
	{why: "another column shares the word, and nothing says which of them it is",
		when: func(t *trial) bool { return t.partial && t.alikeTold(t.it, t.candidate) }},
	{why: "two letters stand for other things too, and nothing says when or where it was measured",
		when: func(t *trial) bool {
			return t.unstated() && t.meaning.Role == record.Measurement && t.known().Of == "place" && t.reading.letters() == 2 && !t.besideSurroundings(t.it)
		}},
	{why: "the letters mean it in another language than the other headings have",
		when: func(t *trial) bool {
			return t.foreign && !t.told && (t.unstated() || t.it.otherMeasure(t.candidate)) && t.reading.letters() <= longestInitials
		}},
	{why: "the heading does not say of what it is, and nothing else says that animals were measured",
		when: func(t *trial) bool {
			return t.unstated() && t.meaning.Role == record.Measurement && vocabulary.OfBody(t.meaning.Measurement) && t.dimension() == "length" &&
				(t.partial || t.sizeAlone(t.it)) && !t.saysElsewhere(t.it)
		}},
	{why: "nothing says whether it is of the air, of the water or of something else",
		when: func(t *trial) bool {
			return (t.meaning.Measurement == "airTemperature" || t.meaning.Measurement == "bodyTemperature") && t.weight <= generalHeading &&
				(t.inWater(t.it) && !t.besideWeather(t.it) || t.besideAny(t.it, ofWaterOrSoil))
		}},
	{why: "nothing says that it is of the water",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "waterTemperature" && t.weight < generalHeading && len(t.tongues) > 0 && !t.takenInWater(t.it)
		}},
	{why: "nothing else says that animals were measured, and so few letters stand for other things too",
		when: func(t *trial) bool {
			return t.unstated() && (len(t.tongues) == 0 || vocabulary.OfBody(t.meaning.Measurement) && t.reading.letters() == 1) && t.reading.letters() <= longestInitials && !t.saysElsewhere(t.it)
		}},
	{why: "hardly any of the other short headings stands for a measurement, so that this one may do so by chance",
		when: func(t *trial) bool { return t.unstated() && t.initials(t.it) && t.byChance() }},
	{why: ofSeveralMeasurements,
		when: func(t *trial) bool { return t.meaning.Role == record.Measurement && t.hardlyOther(t.it, t.candidate) }},
	{why: "the heading is a part of the animal, and does not say what is measured of it",
		when: func(t *trial) bool { return t.unstated() && t.partAlone(t.it, t.candidate) }},
	{why: "the heading does not say what is measured, and nothing says that these animals have it",
		when: func(t *trial) bool { return t.ofAnotherGroup(t.it, t.candidate) }},
	{why: "the animals that have what another column measures do not have it",
		when: func(t *trial) bool { return t.group == "" && t.besideAnotherGroup(t.it, t.candidate) }},
	{why: "nothing says whether it is of water or of soil",
		when: func(t *trial) bool {
			ofEither := slices.Contains(ofWaterOrSoil, t.meaning.Measurement) && !t.know.hasKind(t.reading.words, waterWord)
			return (ofEither || t.meaning.Measurement == "waterDepth") && !t.inWater(t.it)
		}},
	{why: "the heading does not say that it is a temperature, and the numbers do not fit °C",
		when: func(t *trial) bool { return t.unstated() && t.meaning.Unit == fahrenheit && t.reading.letters() <= 2 }},
}

// initials reports whether so few letters are over numbers that they stand for several
// things.
func (g *guesser) initials(it *item) bool {
	return g.readings[it.columns[0]].letters() <= longestInitials && g.profiles[it.columns[0]].numeric > 0.5
}

// longestInitials is the length up to which letters that stand for a measurement
// stand for other things elsewhere.
const longestInitials = 3

// byChance reports whether of many headings of a few letters hardly any stands for a
// measurement: of the others as many would, if these were letters of the trade.
func (g *guesser) byChance() bool {
	all, measured := 0, 0
	for _, it := range g.items {
		if g.initials(it) {
			all++
			if it.chosen != nil && isMeasured(it.chosen) {
				measured++
			}
		}
	}
	return all >= fewestInitials && measured*chanceShare < all
}

// Of this many headings of a few letters, one in so many may stand for a measurement by
// chance.
const (
	fewestInitials = 10
	chanceShare    = 5
)

// besideSurroundings reports whether another column is of the day, the place or the
// surroundings of a capture, or of the heat of the animal.
func (g *guesser) besideSurroundings(it *item) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		if o == it || o.chosen == nil {
			return false
		}
		m := o.chosen.meaning
		return m.Measurement == "bodyTemperature" || m.Measurement != "" && g.know.measurements[m.Measurement].Of == "place" && g.readings[o.columns[0]].letters() > 2 ||
			m.Term == "eventDate" || m.Term == "eventTime" || m.Term == "year" || slices.Contains(placeTerms, m.Term)
	})
}

// inWater reports whether a heading, the name of the sheet, a line above the table
// or a place speaks of water, or the animals are fish.
func (g *guesser) inWater(it *item) bool {
	if g.group == "fish" {
		return true
	}
	speaks := func(text string) bool { return g.know.hasKind(g.know.read(text).words, waterWord) }
	if speaks(g.table.File) || speaks(g.table.Sheet) || slices.ContainsFunc(g.table.Labels, func(l record.Label) bool { return speaks(l.Name + " " + l.Cell.Text) }) {
		return true
	}
	for _, o := range g.items {
		if slices.ContainsFunc(o.columns, func(i int) bool { return speaks(g.table.Columns[i].Heading) }) {
			return true
		}
		if o.chosen == nil || o == it {
			continue
		}
		m := o.chosen.meaning
		if slices.Contains(ofWater, m.Measurement) || m.Measurement == "gosnerStage" {
			return true
		}
		if (slices.Contains(placeTerms, m.Term) || m.Term == "waterBody") && g.profiles[o.columns[0]].ofTexts(speaks) > 0.1 {
			return true
		}
	}
	return false
}

// ofWater are measurements of water.
var ofWater = []string{"waterTemperature", "dissolvedOxygen", "waterDepth", "salinity"}

// besideWeather reports whether other columns are of the air, and none is of water.
func (g *guesser) besideWeather(it *item) bool {
	return g.besideAny(it, []string{"relativeHumidity", "windSpeed"}) && !g.besideAny(it, ofWater)
}

// ofWaterOrSoil are measurements of water that are taken of soil as well.
var ofWaterOrSoil = []string{"waterPH", "waterConductivity"}

const ofSeveralMeasurements = "the heading stands for several measurements, and nothing says which of them it is"

// otherMeasure reports whether the heading means another measurement too, in the
// language of the other headings or in all.
func (it *item) otherMeasure(c *candidate) bool {
	return slices.ContainsFunc(it.candidates, func(o *candidate) bool {
		return isMeasured(o) && !o.foreign && !o.partial && o.weight > 0 && o.meaning.Measurement != c.meaning.Measurement
	})
}

// hardlyOther reports whether a heading that means several measurements, of one language
// or of the trade, means another as well as this, or as well as one that was likelier.
// What is said in full over another column is none: beside Tail, TL is no tail. The
// longest of all lengths but the tail is that of the whole animal.
func (g *guesser) hardlyOther(it *item, c *candidate) bool {
	if slices.ContainsFunc(it.withdrawn, func(w withdrawal) bool { return w.why == ofSeveralMeasurements }) {
		return true
	}
	return c.weight <= generalHeading && slices.ContainsFunc(it.candidates, func(o *candidate) bool {
		return o.meaning.Role == record.Measurement && o.meaning.Measurement != c.meaning.Measurement && o.weight > 0 && !g.saidInFull(it, o) &&
			!(c.meaning.Measurement == "totalLength" && o.meaning.Measurement != "tailLength" && g.longest(it)) &&
			math.Abs(c.score-o.score) < leastLead && (len(o.tongues) > 0 || len(c.tongues) > 0) && (len(o.tongues) == 0 || len(c.tongues) == 0 || slices.Equal(o.tongues, c.tongues))
	})
}

// longest reports whether a length is longer than at least two others of the animal, and
// none is longer.
func (g *guesser) longest(it *item) bool {
	others := 0
	for _, o := range g.items {
		if o == it || o.chosen == nil || !vocabulary.OfBody(o.chosen.meaning.Measurement) || quantity.Dimension(o.chosen.meaning.Unit) != "length" {
			continue
		}
		if more, n := g.larger(it, o); n < 5 || more < n {
			return false
		}
		others++
	}
	return others > 1
}

// leastLead is how much likelier a measurement has to be than another that the same
// heading stands for: the logarithm of the odds.
const leastLead = 1

// partAlone reports whether a heading names a part of which length and width are
// measured, and no other column is of that part and tells which is left: Head.
func (g *guesser) partAlone(it *item, c *candidate) bool {
	if c.weight >= generalHeading {
		return false
	}
	for _, p := range g.know.parts[c.heading] {
		if p.measurements["width"] == "" || p.measurements["length"] == "" {
			continue
		}
		if g.chosenAs(func(m record.Meaning) bool {
			return m.Measurement != "" && m.Measurement != c.meaning.Measurement && (m.Measurement == p.measurements["width"] || m.Measurement == p.measurements["height"])
		}) == nil {
			return true
		}
	}
	return false
}

// besideAnotherGroup reports whether another column is certainly of what only
// animals have that lack this measurement, and the heading means something of
// theirs too: beside the width of a carapace, CRC is no length from the snout to
// the vent.
func (g *guesser) besideAnotherGroup(it *item, c *candidate) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		if o == it || o.chosen == nil || !isMeasured(o.chosen) || o.chosen.partial {
			return false
		}
		scope := g.know.measurements[o.chosen.meaning.Measurement].Scope
		if scope == "" || scope == "any" || slices.ContainsFunc(strings.Split(scope, "|"), func(group string) bool { return !g.know.lacks[group][c.meaning.Measurement] }) {
			return false
		}
		return slices.ContainsFunc(it.candidates, func(a *candidate) bool { return a != c && g.know.measurements[a.meaning.Measurement].Scope == scope })
	})
}

// ofAnotherGroup reports whether a measurement is taken on one group of animals
// only, under a heading that others use too ("Height", "BD"), and nothing says
// that the sheet is about that group.
func (g *guesser) ofAnotherGroup(it *item, c *candidate) bool {
	scope := g.know.measurements[c.meaning.Measurement].Scope
	ok, sure := suits(scope, g.group)
	initials := g.readings[it.columns[0]].letters() <= 2 && !c.told
	if sure && !ok && len(c.tongues) == 0 && !c.told && g.readings[it.columns[0]].letters() <= longestInitials {
		return true
	}
	if initials && !(sure && !ok) && (g.meristic(it, c) || len(it.candidates) == 1 && g.fitsMass(it, c)) {
		return false
	}
	return scope != "" && scope != "any" && (c.weight < generalHeading || initials) && !(ok && sure)
}

// meristic reports whether the numbers of an item are of the kind that parts of an
// animal have which are counted: well above none, and alike from one animal to the
// next. Numbers of things that were found are neither.
func (g *guesser) meristic(it *item, c *candidate) bool {
	p := g.profiles[it.columns[0]]
	n := len(p.values)
	if !countedOne(g.know.measurements[c.meaning.Measurement]) || len(it.candidates) != 1 || n < 5 || p.whole < 1 {
		return false
	}
	low, high := p.values[n/20], p.values[n-1-n/20]
	return low >= fewestMeristic && high <= widestMeristic*low
}

// Of counts of one part of the animals of a sheet, the smallest, and how many
// times it the largest is: common practice.
const (
	fewestMeristic = 6
	widestMeristic = 2
)
