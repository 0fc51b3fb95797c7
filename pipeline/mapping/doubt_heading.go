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
			return t.meaning.Measurement == "totalLength" && utf8.RuneCountInString(t.candidate.heading) <= 2 && t.group != "fish" && !t.besideLengths() && (t.unstated() || !t.fitsMass())
		}},
	{why: "the heading does not say what the total is of, and there is no other length",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "totalLength" && t.unstated() && len(t.know.without(t.reading.words, adjectiveWord)) == 0 && !t.besideLengths()
		}},
	{why: "another column shares the word, and nothing says which of them it is",
		when: func(t *trial) bool { return t.partial && t.alikeTold() }},
	{why: "one letter stands for other things too, and no length begins at 0",
		when: func(t *trial) bool {
			return t.unstated() && t.reading.letters() == 1 && t.dimension() == "length" && len(t.p.values) > 0 && t.p.least() <= 0
		}},
	{why: "so few letters stand for other things too, and nothing says when or where it was measured",
		when: func(t *trial) bool {
			return t.unstated() && t.known().Of == "place" && t.reading.letters() <= 2 && !t.besideSurroundings()
		}},
	{why: "the letters mean it in another language than the other headings have",
		when: func(t *trial) bool {
			return t.foreign && !t.told && (t.unstated() || t.otherMeasure()) && t.reading.letters() <= longestInitials
		}},
	{why: "the heading does not say of what it is, and nothing else says that animals were measured",
		when: func(t *trial) bool {
			return t.unstated() && t.meaning.Role == record.Measurement && vocabulary.OfBody(t.meaning.Measurement) && t.dimension() == "length" &&
				(t.partial || t.sizeAlone()) && !t.saysElsewhere()
		}},
	{why: "nothing says whether it is of the air, of the water or of something else",
		when: func(t *trial) bool {
			return (t.meaning.Measurement == "airTemperature" || t.meaning.Measurement == "bodyTemperature") && t.weight <= generalHeading &&
				(t.inWater() && !t.besideWeather() || t.besideAny(t.it, ofWaterOrSoil))
		}},
	{why: "nothing says that it is of the water",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "waterTemperature" && t.weight < generalHeading && len(t.tongues) > 0 && !t.takenInWater(t.it)
		}},
	{why: "nothing else says that animals were measured, and so few letters stand for other things too",
		when: func(t *trial) bool {
			return t.unstated() && (len(t.tongues) == 0 || vocabulary.OfBody(t.meaning.Measurement) && t.reading.letters() <= 2) && t.reading.letters() <= longestInitials && !t.saysElsewhere()
		}},
	{why: "hardly any of the other short headings stands for a measurement, so that this one may do so by chance",
		when: func(t *trial) bool { return t.unstated() && t.initials(t.it) && t.byChance() }},
	{why: ofSeveralMeasurements,
		when: func(t *trial) bool { return t.meaning.Role == record.Measurement && t.hardlyOther() }},
	{why: "the heading is a part of the animal, and does not say what is measured of it",
		when: func(t *trial) bool { return t.unstated() && t.partAlone() }},
	{why: "the heading does not say what is measured, and nothing says that these animals have it",
		when: func(t *trial) bool { return t.ofAnotherGroup() }},
	{why: "the animals that have what another column measures do not have it",
		when: func(t *trial) bool { return t.group == "" && t.besideAnotherGroup() }},
	{why: "nothing says whether it is of water or of soil",
		when: func(t *trial) bool {
			ofEither := slices.Contains(ofWaterOrSoil, t.meaning.Measurement) && !t.know.hasKind(t.reading.words, waterWord)
			return (ofEither || t.meaning.Measurement == "waterDepth") && !t.inWater()
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
func (t *trial) besideSurroundings() bool {
	return t.besideTerm("eventDate", "eventTime") || t.besideTerm(placeTerms...) || t.beside(func(o *item) bool {
		name := o.chosen.meaning.Measurement
		return name == "bodyTemperature" || t.know.measurements[name].Of == "place" && t.readings[o.columns[0]].letters() > 2
	})
}

// inWater reports whether a heading, the name of the sheet, a line above the table
// or a place speaks of water, or the animals are fish.
func (t *trial) inWater() bool {
	speaks := func(text string) bool { return t.know.hasKind(t.know.read(text).words, waterWord) }
	return t.group == "fish" || speaks(t.table.File) || speaks(t.table.Sheet) ||
		slices.ContainsFunc(t.table.Labels, func(l record.Label) bool { return speaks(l.Name + " " + l.Cell.Text) }) ||
		slices.ContainsFunc(t.table.Columns, func(c record.Column) bool { return speaks(c.Heading) }) ||
		t.beside(func(o *item) bool {
			m := o.chosen.meaning
			return slices.Contains(ofWater, m.Measurement) || m.Measurement == "gosnerStage" ||
				(slices.Contains(placeTerms, m.Term) || m.Term == "waterBody") && t.profiles[o.columns[0]].ofTexts(speaks) > 0.1
		})
}

// ofWater are measurements of water.
var ofWater = []string{"waterTemperature", "dissolvedOxygen", "waterDepth", "salinity"}

// besideWeather reports whether other columns are of the air, and none is of water.
func (t *trial) besideWeather() bool {
	return t.besideAny(t.it, []string{"relativeHumidity", "windSpeed"}) && !t.besideAny(t.it, ofWater)
}

// ofWaterOrSoil are measurements of water that are taken of soil as well.
var ofWaterOrSoil = []string{"waterPH", "waterConductivity"}

const ofSeveralMeasurements = "the heading stands for several measurements, and nothing says which of them it is"

// otherMeasure reports whether the heading means another measurement too, in the
// language of the other headings or in all.
func (t *trial) otherMeasure() bool {
	return t.it.may(func(o *candidate) bool {
		return isMeasured(o) && !o.foreign && !o.partial && o.weight > 0 && o.meaning.Measurement != t.meaning.Measurement
	})
}

// hardlyOther reports whether a heading that means several measurements, of one language
// or of the trade, means another as well as this, or as well as one that was likelier.
// What is said in full over another column is none: beside Tail, TL is no tail. The
// longest of all lengths but the tail is that of the whole animal.
func (t *trial) hardlyOther() bool {
	if slices.ContainsFunc(t.it.withdrawn, func(w withdrawal) bool { return w.why == ofSeveralMeasurements }) {
		return true
	}
	return t.weight <= generalHeading && t.it.may(func(o *candidate) bool {
		return o.meaning.Role == record.Measurement && o.meaning.Measurement != t.meaning.Measurement && o.weight > 0 && !t.saidInFull(t.it, o) &&
			!(t.meaning.Measurement == "totalLength" && o.meaning.Measurement != "tailLength" && t.longest()) &&
			math.Abs(t.score-o.score) < leastLead && (len(o.tongues) > 0 || len(t.tongues) > 0) && (len(o.tongues) == 0 || len(t.tongues) == 0 || slices.Equal(o.tongues, t.tongues))
	})
}

// longest reports whether a length is longer than at least two others of the animal, and
// none is longer.
func (t *trial) longest() bool {
	others := 0
	for _, o := range t.items {
		if o == t.it || o.chosen == nil || !vocabulary.OfBody(o.chosen.meaning.Measurement) || quantity.Dimension(o.chosen.meaning.Unit) != "length" {
			continue
		}
		if more, n := t.larger(t.it, o); n < 5 || more < n {
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
func (t *trial) partAlone() bool {
	return t.weight < generalHeading && slices.ContainsFunc(t.know.parts[t.candidate.heading], func(p part) bool {
		width, height := p.measurements["width"], p.measurements["height"]
		return width != "" && p.measurements["length"] != "" && t.chosenAs(func(m record.Meaning) bool {
			return m.Measurement != "" && m.Measurement != t.meaning.Measurement && (m.Measurement == width || m.Measurement == height)
		}) == nil
	})
}

// besideAnotherGroup reports whether another column is certainly of what only
// animals have that lack this measurement, and the heading means something of
// theirs too: beside the width of a carapace, CRC is no length from the snout to
// the vent.
func (t *trial) besideAnotherGroup() bool {
	return t.beside(func(o *item) bool {
		scope := t.know.measurements[o.chosen.meaning.Measurement].Scope
		return scope != "" && scope != "any" && !o.chosen.partial &&
			!slices.ContainsFunc(strings.Split(scope, "|"), func(group string) bool { return !t.know.lacks[group][t.meaning.Measurement] }) &&
			t.it.may(func(a *candidate) bool {
				return a != t.candidate && t.know.measurements[a.meaning.Measurement].Scope == scope
			})
	})
}

// ofAnotherGroup reports whether a measurement is taken on one group of animals
// only, under a heading that others use too ("Height", "BD"), and nothing says
// that the sheet is about that group.
func (t *trial) ofAnotherGroup() bool {
	scope := t.known().Scope
	ok, sure := suits(scope, t.group)
	initials := t.reading.letters() <= 2 && !t.told
	if sure && !ok && len(t.tongues) == 0 && !t.told && t.reading.letters() <= longestInitials {
		return true
	}
	if initials && !(sure && !ok) && len(t.it.candidates) == 1 && (t.meristic() || t.fitsMass()) {
		return false
	}
	return scope != "" && scope != "any" && (t.weight < generalHeading || initials || t.ofAnyGroup()) && !(ok && sure)
}

// ofAnyGroup reports whether the same few letters stand for what is measured on all animals.
func (t *trial) ofAnyGroup() bool {
	return t.reading.letters() <= longestInitials && t.it.may(func(o *candidate) bool {
		return o.meaning.Role == record.Measurement && o.score > 0 && t.know.measurements[o.meaning.Measurement].Scope == "any"
	})
}

// meristic reports whether the numbers of an item are of the kind that parts of an
// animal have which are counted: well above none, and alike from one animal to the
// next. Numbers of things that were found are neither.
func (t *trial) meristic() bool {
	n := len(t.p.values)
	if !countedOne(t.known()) || n < 5 || t.p.whole < 1 {
		return false
	}
	low, high := t.p.values[n/20], t.p.values[n-1-n/20]
	return low >= fewestMeristic && high <= widestMeristic*low
}

// Of counts of one part of the animals of a sheet, the smallest, and how many
// times it the largest is: common practice.
const (
	fewestMeristic = 6
	widestMeristic = 2
)
