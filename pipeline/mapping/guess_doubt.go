package mapping

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// withdrawal is a meaning that the data spoke against.
type withdrawal struct {
	candidate *candidate
	why       string // a clause
}

// contradicted is what a candidate's score becomes when the data speak against
// it.
const contradicted = -3

// assignTested assigns meanings and tests each against the data, withdraws
// those that fail, and assigns anew until all stand.
func (g *guesser) assignTested() {
	for {
		for _, it := range g.items {
			it.chosen = nil
		}
		g.assign()
		again := false
		for _, it := range g.items {
			if it.chosen == nil {
				continue
			}
			if why := g.doubt(it, it.chosen); why != "" {
				it.withdrawn = append(it.withdrawn, withdrawal{it.chosen, why})
				it.chosen.score = contradicted
				it.chosen.reasons = append(it.chosen.reasons, "but "+why)
				again = true
			}
		}
		if !again {
			return
		}
	}
}

// doubt says what in the data speaks against a meaning, or "".
func (g *guesser) doubt(it *item, c *candidate) string {
	p := g.profiles[it.columns[0]]
	switch {
	case c.meaning.Measurement == "totalLength" && it.unit == "" && g.besideCounts():
		return "it stands beside counts of animals"
	case p.filled == 0:
		return ""
	}
	kind := g.know.values[c.meaning.Term].Kind
	switch {
	case c.spelt && (!g.discriminating(c, p) || it.rivalled(c)):
		return "only its spelling is like a known heading, and the values do not show what it is"
	case c.meaning.Role == record.NameColumn && !g.hasRole(record.ValueColumn), c.meaning.Role == record.ValueColumn && !g.hasRole(record.NameColumn), c.meaning.Role == record.UnitColumn && !(g.hasRole(record.NameColumn) && g.hasRole(record.ValueColumn)):
		return "there are no columns of the names and of the values of measurements, one in each row"
	case c.spelt && g.saidInFull(it, c):
		return "only its spelling is like a known heading, and another column has that heading"
	case isMeasured(c) && scored.MatchString(g.table.Columns[it.columns[0]].Heading) && (c.meaning.Role != record.Measurement || !countedOne(g.know.measurements[c.meaning.Measurement])):
		return "the heading says that the numbers are the steps of a scale"
	case c.meaning.Role == record.Term && c.meaning.Term != "occurrenceRemarks" && p.ofTexts(vocabulary.SaysRecaught) > 0.3:
		return "the values say whether an animal was caught before"
	case c.meaning.Term == "occurrenceRemarks" && g.group != "fish" && slices.Equal(g.readings[it.columns[0]].words, []string{"clip"}):
		return "a clip is a mark, and nothing says whether of a toe, a fin or an ear, or what its codes mean"
	case c.meaning.Term == "occurrenceStatus" && g.absentMeasured(it):
		return "animals are measured in rows that it would call absent"
	case (isMeasured(c) || isMark(c) || c.meaning.Role == record.Term && c.partial) && g.ofAnotherAnimal(it):
		return "the heading is about another animal than that of the row"
	case c.meaning.Role == record.Term && c.weight == 0 && g.alikeByValues(it, c):
		return "the values of another column suggest it as well, and neither heading says which of them it is"
	case c.meaning.Term == "eventDate" && c.partial && g.alikeTold(it, c):
		return "several columns are days, and nothing says which of them is that of the capture"
	case c.partial && c.meaning.Role == record.Measurement && g.know.measurements[c.meaning.Measurement].Of == "eggs":
		return "words of the heading are left over, and say something else of it"
	case c.meaning.Role == record.Term && len(c.meaning.Vocabulary) == 0 && slices.Contains([]string{kindPlace, kindPerson, kindIdentifier, kindLabel}, kind) && len(codesIn(g.table.Columns[it.columns[0]].Heading)) > 0:
		return "the heading explains codes, and the values are not among them"
	case (c.partial || g.know.hasKind(g.readings[it.columns[0]].words, derivedWord)) && p.numeric > 0.9 && slices.Contains(placeTerms, c.meaning.Term):
		return "the heading is the name of a place, and the values are numbers"
	case (kind == kindPlace || kind == kindLabel || kind == kindIdentifier) && p.distinct == 1 && g.know.statesUnits(p.texts[0]):
		return "the value states units of measurements"
	case kind == kindPlace && (c.partial || !slices.Contains(placeTerms, c.meaning.Term) && g.writesNames()) && p.ofTexts(beginsSmall) > 0.9:
		return "the values begin with lower-case letters, unlike place names"
	case slices.Contains(placeTerms, c.meaning.Term) && p.numeric > 0.9 && 5*p.zeros() > p.filled:
		return fmt.Sprintf("%d of %d numbers are 0, which no place is called", p.zeros(), p.filled)
	case slices.Contains(placeTerms, c.meaning.Term) && p.distinct <= fewKinds && p.filled > 20 && p.ofTexts(beginsSmall) > 0.9 && g.placedBeside(it):
		return fmt.Sprintf("%d different words with small letters are kinds of places, and another column names the places", p.distinct)
	case kind == kindPerson && p.filled > 20 && p.onceEach() && p.ofTexts(codeNumber.MatchString) > 0.9:
		return "each row has a number of its own, and people have names"
	case kind == kindPerson && c.partial && p.ofTexts(personal.MatchString) < 0.5:
		return "the values are not names of people"
	case c.meaning.Term == "geodeticDatum" && p.ofTexts(place.KnownDatum) < 0.5:
		return "the values are not geodetic datums"
	case c.meaning.Term == "individualCount" && p.ofTexts(plainNumber.MatchString) < 0.5:
		return "most of the numbers have words beside them"
	case c.meaning.Role == record.Term && (c.meaning.Term == "organismID" || c.meaning.Term == "otherCatalogNumbers"):
		return g.doubtMark(it, c, p)
	case c.meaning.Role == record.Term && (c.meaning.Term == "catalogNumber" || c.meaning.Term == "materialSampleID"):
		if p.filled > 10 && p.unique < 0.9 {
			return fmt.Sprintf("only %d of %d values are different, but such a number identifies one thing", p.distinct, p.filled)
		}
	case c.meaning.Term == "recordNumber" && p.unique < 0.9 && p.filled > 10 && !g.told():
		return fmt.Sprintf("only %d of %d numbers are different, and no column of dates or places distinguishes the equal ones", p.distinct, p.filled)
	case c.meaning.Term == "recordNumber" && p.distinct < p.filled && p.ofTexts(digits.MatchString) < 0.5:
		return "repeated letters do not number anything"
	case c.meaning.Term == "individualCount" && p.counting > 0.8 && p.unique > 0.98 && p.filled > 5:
		return "the numbers increase from row to row"
	case c.meaning.Term == "individualCount" && c.weight < generalHeading && !g.saysWhich():
		return "nothing says what is counted"
	case c.meaning.Term == "recordNumber" && p.filled > 20 && p.distinct < 6:
		return fmt.Sprintf("there are only %d different values in %d rows", p.distinct, p.filled)
	case c.meaning.Term == "eventID" && p.filled > 20 && p.distinct > 1 && p.distinct < 6 && p.numeric > 0.9:
		return fmt.Sprintf("there are only %d different numbers in %d rows, too few for visits", p.distinct, p.filled)
	case p.yesNo() && (kind == kindMedia || kind == kindText && c.meaning.Role == record.Term || kind == kindPlace || kind == kindPerson || kind == kindIdentifier || c.meaning.Term == "individualCount" && (c.weight < 1 || p.numeric < 1) || c.meaning.Term == "preparations"):
		return "the values are yes and no"
	case (isMeasured(c) || c.meaning.Role == record.WeighPart) && p.yesNo() && p.filled > 5:
		return "the values are yes and no"
	case strings.HasSuffix(c.meaning.Term, "Remarks") && p.counting > 0.8 && p.filled > 5:
		return "the values are numbers that increase from row to row"
	case c.meaning.Measurement == "clutchSize" && p.filled > 5 && p.distinct > p.filled/4 && p.values[0] <= 2 && p.values[len(p.values)-1] >= mostNumbered[0] && p.values[len(p.values)-1] <= mostNumbered[1]:
		return fmt.Sprintf("numbers from %s to %s are as likely those of clutches", number(p.values[0]), number(p.values[len(p.values)-1]))
	case strings.HasSuffix(c.meaning.Term, "Remarks") && p.filled > 5 && p.onceEach() && p.ofTexts(codeNumber.MatchString) > 0.9:
		return "each row has a number of its own, and remarks are words"
	case strings.HasSuffix(c.meaning.Term, "Remarks") && p.distinct <= 3 && p.filled > 20 && p.length <= 1:
		return fmt.Sprintf("%d different letters are a code, not remarks", p.distinct)
	case strings.HasSuffix(c.meaning.Term, "Remarks") && p.unique < 0.3 && p.ofTexts(smallInitials.MatchString) > 0.9 && slices.ContainsFunc(it.candidates, func(o *candidate) bool { return o.meaning.Term == "recordedBy" }):
		return "the values are initials"
	case c.meaning.Term == "verbatimCoordinateSystem" && !slices.ContainsFunc(p.texts, func(t string) bool { return digits.MatchString(t) || len([]rune(t)) > 3 || strings.EqualFold(t, "utm") }):
		return "letters alone are not a grid zone"
	case c.meaning.Term == "verbatimCoordinateSystem" && p.yesNo():
		return "the values are yes and no"
	case c.meaning.Term == "verbatimCoordinateSystem" && !g.hasCoordinates():
		return "no column has coordinates"
	case kind == kindPlace && !slices.Contains(placeTerms, c.meaning.Term) && p.numeric > 0.9 && p.whole < 0.5:
		return "the values are numbers with decimals, and places are not"
	case slices.Contains(placeTerms, c.meaning.Term) && c.foreign && p.numeric > 0.9:
		return "the heading is a place in another language than the other headings have, and the values are numbers"
	case c.meaning.Term == "occurrenceRemarks" && p.numeric > 0.9 && p.filled > 5:
		return "the values are numbers, and remarks are words"
	case c.meaning.Term == "eventRemarks" && p.numeric > 0.9:
		return "nothing says what the numbers mean"
	case c.meaning.Term == "lifeStage" && p.numeric > 0.9 && len(c.meaning.Vocabulary) == 0:
		return "nothing says what the numbers mean"
	case slices.Contains(ofSeveralUnits, g.group) && it.unit == "" && (quantity.Dimension(c.meaning.Unit) == "mass" || quantity.Dimension(c.meaning.Unit) == "length") && !g.withLength(it):
		return "nothing says the unit, and animals of the group " + g.group + " are measured in several units"
	case g.group == "fish" && it.unit == "" && isMeasured(c) && quantity.Dimension(c.meaning.Unit) == "length" && p.median() < smallFish && g.chosenAs(isMassOf) == nil:
		return "nothing says whether it is in mm or cm, and no mass shows it"
	case (kind == kindPlace || kind == kindLabel) && c.weight < 0.75 && p.ofTexts(g.know.latin) > 0.9:
		return "the values are names of animals"
	case c.meaning.Term == "eventID" && c.partial && p.filled > 20 && p.distinct < 3:
		return fmt.Sprintf("there are only %d different texts in %d rows, too few for visits", p.distinct, p.filled)
	case c.meaning.Term == "year" && g.cites(it):
		return "another column names authors or publications, and the year may be theirs"
	case (isMeasured(c) && len(g.know.without(g.readings[it.columns[0]].words, sizeWord)) == 0 || c.meaning.Term == "individualCount") && g.ofDroppings():
		return "the sheet is about droppings, and the heading does not say that it is the animal's"
	case c.meaning.Term == "eventID" && p.numeric > 0.9 && strings.HasSuffix(strings.ToLower(it.heading), "s"):
		return "a plural over numbers is a count"
	case c.meaning.Term == "eventTime" && p.numeric > 0.5 && p.ofTexts(clockLike) < 0.9:
		return fmt.Sprintf("only %.0f %% of the values can be times of day", 100*p.ofTexts(clockLike))
	case c.meaning.Term == "samplingProtocol" && p.numeric > 0.9 && len(c.meaning.Vocabulary) == 0:
		return "nothing says what the numbers mean"
	case c.meaning.Term == "day" && g.columnOf("month") < 0:
		return "there is no column for the month"
	case c.meaning.Role == record.WeighPart && c.meaning.Part == record.Scale && p.filled > 5 && p.unique > 0.5:
		return fmt.Sprintf("%d different values in %d rows are too many for the scales of a team", p.distinct, p.filled)
	case c.meaning.Role == record.WeighPart && c.meaning.Part == record.Bag && p.numeric > 0.9 && p.distinct == 1 && p.filled > 1:
		return "one number in all rows may be the mass of the bag or its name"
	case c.meaning.Role == record.WeighPart && c.meaning.Part == record.Gross && g.lighter(it, record.Net):
		return "it is less than the mass of the animal, so it cannot be the mass with the bag"
	case isMass(c) && g.ofSeveral(it) && g.counts():
		return "it is the mass of all animals that a row counts"
	case c.meaning.Role == record.WeighPart && c.meaning.Part == record.Gross && g.ofSeveral(it) && !g.bagged():
		return "the heading says that it is the whole mass, and no other column is that of a bag or of the animal without it"
	case c.meaning.Role == record.WeighPart && c.meaning.Part == record.Net && it.unit == "" && p.median() > largestUnstated && !g.withLength(it):
		return fmt.Sprintf("nothing says whether it is in g, kg or lb, and no length shows it; the median is %s", number(p.median()))
	case (isMeasured(c) || c.meaning.Term == "individualCount") && it.unit == "" && g.isSum(it):
		return "the numbers are the sums of columns to their left that are not measurements"
	case c.meaning.Measurement == "totalLength" && len([]rune(c.heading)) <= 2 && g.group != "fish" && !g.besideLengths(it):
		return "two letters do not say what the length is of, and there is no other length"
	case c.meaning.Role == record.Measurement && g.know.measurements[c.meaning.Measurement].Dimension == "count" && perSomething.MatchString(g.table.Columns[it.columns[0]].Heading):
		return "the heading says what it is counted per"
	case c.meaning.Measurement == "totalLength" && it.unit == "" && len(g.know.without(g.readings[it.columns[0]].words, adjectiveWord)) == 0 && !g.besideLengths(it):
		return "the heading does not say what the total is of, and there is no other length"
	case c.meaning.Role == record.Measurement && p.filled >= 3 && p.numeric < 0.5:
		return "most of the values are not numbers"
	case isMeasured(c) && it.unit == "" && quantity.Dimension(c.meaning.Unit) == "velocity":
		return "nothing says the unit, and wind is given in m/s, km/h, knots and steps of a scale"
	case c.meaning.Measurement == "waterDepth" && it.unit == "":
		return "nothing says the unit, and depths are given in cm, m and fathoms"
	case isMeasured(c) && it.unit == "" && quantity.Dimension(c.meaning.Unit) == "time" && !slices.Contains(agedInYears, g.group):
		return "nothing says whether it is in years, months or days, or a class code"
	case isMeasured(c) && it.unit == "" && g.implausible(c, p):
		return "hardly any of the numbers is plausible for it"
	case isMeasured(c) && c.partial && g.alikeTold(it, c):
		return "another column shares the word, and nothing says which of them it is"
	case isMass(c) && it.unit == "" && g.ofKinds() && !g.withLength(it):
		return "nothing says the unit, and each row is of another kind of animal"
	case c.meaning.Role == record.Measurement && it.unit == "" && c.meaning.Unit == "cm" && p.workedOut(centimetreDecimals):
		return "numbers with so many decimals were worked out, and they are too small for millimetres"
	case c.meaning.Role == record.Measurement && it.unit == "" && g.know.measurements[c.meaning.Measurement].Of == "place" && len([]rune(g.readings[it.columns[0]].whole)) == 2 && !g.besideSurroundings(it):
		return "two letters stand for other things too, and nothing says when or where it was measured"
	case isMeasured(c) && it.unit == "" && p.computed():
		return "numbers above and below zero with so many decimals were worked out, and not read"
	case isMeasured(c) && it.unit == "" && c.foreign && utf8.RuneCountInString(g.readings[it.columns[0]].whole) <= longestInitials:
		return "the letters mean it in another language than the other headings have"
	case c.meaning.Measurement == "length" && it.unit == "" && !g.saysElsewhere(it):
		return "the heading does not say what is long, and nothing else says that animals were measured"
	case c.meaning.Measurement == "airTemperature" && c.weight <= generalHeading && g.inWater(it):
		return "nothing says whether it is of the air or of the water"
	case isMeasured(c) && it.unit == "" && len(c.tongues) == 0 && utf8.RuneCountInString(g.readings[it.columns[0]].whole) <= longestInitials && !g.saysElsewhere(it):
		return "nothing else says that animals were measured, and so few letters stand for other things too"
	case isMeasured(c) && it.unit == "" && g.initials(it) && g.byChance():
		return "hardly any of the other short headings stands for a measurement, so that this one may do so by chance"
	case isMeasured(c) && strings.Contains(it.heading, "/") && p.ofTexts(twoNumbers.MatchString) > 0.5:
		return "each cell holds two measurements"
	case c.meaning.Role == record.Measurement && it.hardlyOther(c):
		return "the heading stands for several measurements, and nothing says which of them it is"
	case isMeasured(c) && it.unit == "" && g.partAlone(it, c):
		return "the heading is a part of the animal, and does not say what is measured of it"
	case isMeasured(c) && g.ofAnotherGroup(it, c):
		return "the heading does not say what is measured, and nothing says that these animals have it"
	case isMeasured(c) && g.group == "" && g.besideAnotherGroup(it, c):
		return "the animals that have what another column measures do not have it"
	case c.meaning.Measurement == "waterPH" && !g.inWater(it):
		return "nothing says whether it is of water or of soil"
	case isMeasured(c) && it.unit == "" && c.meaning.Unit == fahrenheit && len([]rune(g.readings[it.columns[0]].whole)) <= 2:
		return "the heading does not say that it is a temperature, and the numbers do not fit °C"
	case c.meaning.Measurement == "airTemperature" && p.within(bodyHeat[0], bodyHeat[1]) > 0.9 && len(p.values) > 5:
		return fmt.Sprintf("the numbers are those of warm bodies, %s to %s", number(p.values[0]), number(p.values[len(p.values)-1]))
	case (isMeasured(c) || c.meaning.Role == record.WeighPart && c.meaning.Part != record.Bag && c.meaning.Part != record.Scale) && p.ofTexts(zeroFirst.MatchString) > 0.5:
		return "most of the numbers begin with a zero, like times and catalogue numbers"
	case isMeasured(c) && it.unit == "" && p.filled >= 5 && p.distinct == 1 && g.know.measurements[c.meaning.Measurement].Instrument == caliper:
		return "every row is the same, but animals differ"
	case isMeasured(c):
		return g.doubtSize(it, c, p)
	}
	return ""
}

// initials reports whether so few letters are over numbers that they stand for several
// things.
func (g *guesser) initials(it *item) bool {
	return utf8.RuneCountInString(g.readings[it.columns[0]].whole) <= longestInitials && g.profiles[it.columns[0]].numeric > 0.5
}

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

// ofKinds reports whether a column names a kind of animal, and each row another.
func (g *guesser) ofKinds() bool {
	return slices.ContainsFunc([]string{"scientificName", "vernacularName"}, func(term string) bool {
		i := g.columnOf(term)
		return i >= 0 && g.profiles[i].filled >= fewestKinds && g.profiles[i].onceEach()
	})
}

// fewestKinds is the number of rows from which they are kinds of animals if no name
// stands twice.
const fewestKinds = 10

// besideSurroundings reports whether another column is of the day, the place or the
// surroundings of a capture, or of the heat of the animal.
func (g *guesser) besideSurroundings(it *item) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		if o == it || o.chosen == nil {
			return false
		}
		m := o.chosen.meaning
		return m.Measurement == "bodyTemperature" || m.Measurement != "" && g.know.measurements[m.Measurement].Of == "place" && len([]rune(g.readings[o.columns[0]].whole)) > 2 ||
			m.Term == "eventDate" || m.Term == "eventTime" || m.Term == "year" || slices.Contains(placeTerms, m.Term)
	})
}

// hasRole reports whether a column was given a role.
func (g *guesser) hasRole(role record.Role) bool {
	return g.chosenAs(func(m record.Meaning) bool { return m.Role == role }) != nil
}

// fewKinds is the number of different words up to which they may be kinds.
const fewKinds = 5

// placedBeside reports whether another column was given places.
func (g *guesser) placedBeside(it *item) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return o != it && o.chosen != nil && slices.Contains(placeTerms, o.chosen.meaning.Term)
	})
}

// cites reports whether the heading of another column speaks of publications.
func (g *guesser) cites(it *item) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return o != it && g.know.hasKind(g.readings[o.columns[0]].words, citationWord)
	})
}

// ofDroppings reports whether the name of the file or the tab, or a line above the
// table, says that it is about what animals leave behind.
func (g *guesser) ofDroppings() bool {
	speaks := func(text string) bool { return g.know.hasKind(g.know.read(text).words, droppingWord) }
	return speaks(g.table.File) || speaks(g.table.Sheet) || slices.ContainsFunc(g.table.Labels, func(l record.Label) bool { return speaks(l.Cell.Text) })
}

// ofSeveral reports whether the heading of a mass may say that it is of all
// animals of a row.
func (g *guesser) ofSeveral(it *item) bool {
	return g.know.hasKind(g.readings[it.columns[0]].words, severalWord)
}

// counts reports whether a column counts the animals of each row, and counts
// more than one in some.
func (g *guesser) counts() bool {
	i := g.columnOf("individualCount")
	return i >= 0 && slices.ContainsFunc(g.profiles[i].values, func(n float64) bool { return n > 1 })
}

// bagged reports whether a column is the mass of bags, or of animals without.
func (g *guesser) bagged() bool {
	return g.chosenAs(func(m record.Meaning) bool {
		return m.Role == record.WeighPart && (m.Part == record.Tare || m.Part == record.Net)
	}) != nil
}

// mostNumbered is between what the last of numbered clutches lies: of fewer, the numbers
// are those of eggs in small clutches, of more those of large ones.
var mostNumbered = [2]float64{12, 60}

// scored matches a heading that gives the steps of a scale: "Cond (1-5)".
var scored = regexp.MustCompile(`[(\[]\s*[01]\s*(-|–|to|a|à|bis)\s*\d{1,2}\s*[)\]]`)

// perSomething matches a heading that says of what the number of a count is:
// "Lungworm (lpg)", "Mites (per g)", "Ticks/h".
var perSomething = regexp.MustCompile(`(?i)(\(\s*(\p{L}pg|per\b[^)]*|%)\s*\)|/ ?(h|g|ml|min|day|m2|m²)\b)`)

func isMark(c *candidate) bool {
	return c.meaning.Role == record.Term && (c.meaning.Term == "organismID" || c.meaning.Term == "otherCatalogNumbers")
}

// ofAnotherAnimal reports whether the heading names a parent or a partner of the
// animal of the row; over eggs and young, also a male or a female.
func (g *guesser) ofAnotherAnimal(it *item) bool {
	words := g.readings[it.columns[0]].words
	return len(words) > 1 && (g.know.hasKind(words, parentWord) || g.know.hasKind(words, grownWord) && g.ofYoung())
}

// ofYoung reports whether the rows are eggs or young: a column names or numbers
// them, or is about laying, hatching or fledging.
func (g *guesser) ofYoung() bool {
	return g.ofEggs() || slices.ContainsFunc(g.readings, func(r reading) bool { return g.know.hasKind(r.words, youngWord) })
}

// absentMeasured reports whether rows whose status would be absent have a length
// or a mass.
func (g *guesser) absentMeasured(it *item) bool {
	list := g.know.lists[g.know.values["occurrenceStatus"].List]
	sizes := slices.DeleteFunc(slices.Clone(g.items), func(o *item) bool {
		return o.chosen == nil || !isMeasured(o.chosen) || o.chosen.weight == 0
	})
	for _, row := range g.table.Rows {
		if i := it.columns[0]; i >= len(row.Cells) || list == nil {
			continue
		} else if status, ok, _ := list.Known(row.Cells[i].Text, nil); !ok || status != "absent" {
			continue
		}
		if slices.ContainsFunc(sizes, func(o *item) bool {
			i := o.columns[0]
			return i < len(row.Cells) && plainNumber.MatchString(row.Cells[i].Text)
		}) {
			return true
		}
	}
	return false
}

func beginsLarge(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return unicode.IsUpper(r)
}

// beginsSmall reports whether a text begins with a small letter.
func beginsSmall(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return unicode.IsLower(r)
}

// writesNames reports whether a column begins with capital letters, so that those who
// wrote the sheet would have written names of places with them too.
func (g *guesser) writesNames() bool {
	return slices.ContainsFunc(g.profiles, func(p *profile) bool {
		return p.filled > 5 && p.numeric < 0.1 && p.length > 3 && p.ofTexts(beginsLarge) > 0.9
	})
}

// isSum reports whether the numbers of an item are those of two columns or more
// that end left of it and mean no measurement, added up row by row.
func (g *guesser) isSum(it *item) bool {
	measured := map[int]bool{}
	for _, o := range g.items {
		for _, i := range o.columns {
			measured[i] = o.chosen != nil && isMeasured(o.chosen)
		}
	}
	last := it.columns[0]
	total := g.profiles[last].numbers
	sums := make([]float64, len(total))
	for i, n := last-1, 1; i >= 0 && !measured[i]; i, n = i-1, n+1 {
		p := g.profiles[i]
		if p.numeric < 0.9 && p.filled > 0 {
			return false
		}
		rows, equal := 0, 0
		for r, x := range p.numbers {
			if !math.IsNaN(x) {
				sums[r] += x
			}
			if !math.IsNaN(total[r]) {
				rows++
				equal += int(share(math.Abs(sums[r]-total[r]) < 1e-9*(1+math.Abs(total[r]))))
			}
		}
		if n > 1 && rows >= 3 && 10*equal >= 9*rows {
			return true
		}
	}
	return false
}

// smallFish is the length in mm below which a fish is smaller than most that
// teams measure; numbers below it are as likely to be centimetres.
const smallFish = 100

// isMassOf reports whether a meaning is the mass of an animal.
func isMassOf(m record.Meaning) bool {
	return m.Measurement == "bodyMass" || m.Role == record.WeighPart && m.Part != record.Tare && m.Unit != ""
}

// longestInitials is the length up to which letters that stand for a measurement
// stand for other things elsewhere.
const longestInitials = 3

// codeNumber matches letters with a number: e001, LMC-12.
var codeNumber = regexp.MustCompile(`^\p{L}{1,4}[-_ ]?\d+$`)

// zeroFirst matches numbers that nobody measured: 0015, 007.
var zeroFirst = regexp.MustCompile(`^0\d`)

const fahrenheit = "[degF]"

// caliper is the instrument of what is measured on the body.
const caliper = "caliper"

// bodyHeat is the range of body temperatures of birds and mammals in °C: common
// practice.
var bodyHeat = [2]float64{35, 43.5}

// told reports whether a column was given a day or a place.
func (g *guesser) told() bool {
	return slices.ContainsFunc([]string{"eventDate", "year", "eventID", "fieldNumber", "locality", "locationID", "verbatimLocality"}, func(term string) bool { return g.columnOf(term) >= 0 })
}

// implausible reports whether hardly any number is one that a measurement, or the
// mass of an animal, has in the unit that suits best.
func (g *guesser) implausible(c *candidate, p *profile) bool {
	m := g.know.measurements[c.meaning.Measurement]
	if c.meaning.Role == record.WeighPart || len(p.values) < 5 {
		return false // animals of all sizes are weighed
	}
	inside, _ := plausible(p, m, c.meaning.Unit)
	return inside < 0.1
}

// saidInFull reports whether another column was given the same meaning by its whole
// heading.
func (g *guesser) saidInFull(it *item, c *candidate) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return o != it && o.chosen != nil && !o.chosen.spelt && o.chosen.weight > 0 && !o.chosen.partial && meaningKey(o.chosen.meaning) == meaningKey(c.meaning)
	})
}

// alikeTold reports whether another column may be the same measurement by the same
// part of its heading, the rest of which nobody here knows: "EyeH" and "EyeV".
func (g *guesser) alikeTold(it *item, c *candidate) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		if o != it && c.word != "" && isMeasured(c) && o.chosen != nil && isMeasured(o.chosen) && meaningKey(o.chosen.meaning) != meaningKey(c.meaning) && slices.Contains(g.readings[o.columns[0]].words, c.word) {
			return true // "tail orig" and "tail regen"
		}
		return o != it && slices.ContainsFunc(o.candidates, func(other *candidate) bool {
			return other.partial && meaningKey(other.meaning) == meaningKey(c.meaning)
		})
	})
}

// alikeByValues reports whether the values alone suggest the same term for another
// column that nothing else explains, such as the beginning and the end of a visit.
func (g *guesser) alikeByValues(it *item, c *candidate) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return o != it && (o.chosen == nil || o.chosen.weight == 0) && slices.ContainsFunc(o.candidates, func(other *candidate) bool {
			supported := other.score > byValuesAlone || slices.ContainsFunc(o.withdrawn, func(w withdrawal) bool { return w.candidate == other })
			return other.weight == 0 && supported && meaningKey(other.meaning) == meaningKey(c.meaning)
		})
	})
}

// hasCoordinates reports whether a column was given a part of a coordinate.
func (g *guesser) hasCoordinates() bool {
	return g.chosenAs(func(m record.Meaning) bool {
		switch g.know.values[m.Term].Kind {
		case kindLatitude, kindLongitude, kindNorthing, kindEasting, kindPair:
			return true
		}
		return false
	}) != nil
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
var ofWater = []string{"waterTemperature", "waterConductivity", "dissolvedOxygen", "waterDepth"}

// twoNumbers matches two measurements in one cell: 62/148 under "SVL/TL".
var twoNumbers = regexp.MustCompile(`^\d+(?:[.,]\d+)?\s*/\s*\d+(?:[.,]\d+)?$`)

// besideCounts reports whether several columns count the animals that their headings name.
func (g *guesser) besideCounts() bool {
	n := 0
	for _, it := range g.items {
		if g.counted(it) {
			n++
		}
	}
	return n > 1
}

// hardlyOther reports whether a heading that means several measurements, of one language
// or of the trade, means another as well as this.
func (it *item) hardlyOther(c *candidate) bool {
	return c.weight <= generalHeading && slices.ContainsFunc(it.candidates, func(o *candidate) bool {
		return o.meaning.Role == record.Measurement && o.meaning.Measurement != c.meaning.Measurement && o.weight > 0 &&
			math.Abs(c.score-o.score) < leastLead && (len(o.tongues) > 0 || len(c.tongues) > 0) && (len(o.tongues) == 0 || len(c.tongues) == 0 || slices.Equal(o.tongues, c.tongues))
	})
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
	initials := utf8.RuneCountInString(g.readings[it.columns[0]].whole) <= 2
	if initials && !(sure && !ok) && g.meristic(it, c) {
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

// agedInYears are the groups whose ages are read from rings and given in years
// without saying so (common practice).
var agedInYears = []string{"fish", "turtle"}

// ofSeveralUnits are the groups whose sizes are given now in mm, now in cm, and
// whose masses now in kg, now in pounds (common practice).
var ofSeveralUnits = []string{"ungulate"}

// rivalled reports whether the spelling of a heading is as near to that of
// another measurement: "Larg" to a width in one language, a length in another.
func (it *item) rivalled(c *candidate) bool {
	return slices.ContainsFunc(it.candidates, func(o *candidate) bool {
		return o.spelt && o.meaning.Role == record.Measurement && o.meaning.Measurement != c.meaning.Measurement && o.score >= c.score-4 && o.weight >= 0.8*c.weight
	})
}

// generalHeading is the weight below which a heading has several meanings.
const generalHeading = 0.8

func isMeasured(c *candidate) bool {
	return c.meaning.Role == record.Measurement || isMass(c)
}

// discriminating reports whether values of such a kind would not be found under
// most other headings.
func (g *guesser) discriminating(c *candidate, p *profile) bool {
	switch c.meaning.Role {
	case record.Measurement:
		return p.numeric > 0.8 && g.know.measurements[c.meaning.Measurement].Of != "eggs"
	case record.WeighPart:
		return isMass(c) && p.numeric > 0.8
	case record.Term:
		switch v := g.know.values[c.meaning.Term]; v.Kind {
		case kindDate:
			return p.dates > 0.8
		case kindTime:
			return p.times > 0.8
		case kindLatitude, kindLongitude, kindNorthing, kindEasting:
			return p.numeric*(1-p.whole) > 0.8 || p.degrees > 0.8
		case kindName:
			return p.ofTexts(g.know.latin) > 0.5
		case kindVernacular:
			return p.ofTexts(g.know.vernacular) > 0.5
		case kindWord:
			list := g.know.lists[v.List]
			return list != nil && p.ofTexts(func(t string) bool { _, ok, _ := list.Known(t, nil); return ok }) > 0.8
		case kindPerson:
			return p.unique < 0.5 && p.ofTexts(personal.MatchString) > 0.9
		case kindIdentifier:
			return p.unique > 0.9
		}
	}
	return false
}

// doubtMark tests marks: an animal keeps its species and its sex, and a team
// marks more than a handful of animals.
func (g *guesser) doubtMark(it *item, c *candidate, p *profile) string {
	switch {
	case c.unnamed && !p.onceEach() && !g.keepsSex(it):
		return "some numbers occur more than once, and nothing says that they identify animals"
	case p.yesNo():
		return "the values are yes and no"
	case p.numeric > 0.9 && !p.onceEach() && strings.HasSuffix(strings.ToLower(it.heading), "s"):
		return "a plural over numbers is a count"
	case p.filled > 20 && p.distinct <= 5:
		return fmt.Sprintf("there are only %d different values in %d rows", p.distinct, p.filled)
	case p.numeric > 0.9 && p.filled >= 5 && 3*p.ones() > p.filled:
		return fmt.Sprintf("%d of %d numbers are 1, as where animals are counted", p.ones(), p.filled)
	}
	if p.counting > 0.8 && p.unique < 0.98 && g.againOnOneDay(it.columns[0]) {
		return "the numbers count on from row to row and begin again on the same day, as those of rows do"
	}
	for _, other := range []struct {
		term  string
		share float64
	}{{"scientificName", 0.1}, {"vernacularName", 0.1}, {"sex", 0.2}} {
		column := g.columnOf(other.term)
		if column < 0 {
			continue
		}
		if changed, repeats := g.changes(it.columns[0], column, -1); repeats >= fewestAgain && float64(changed) > other.share*float64(repeats) {
			if changed, repeats := g.changes(it.columns[0], column, g.columnOf("locality")); repeats >= minChanged && float64(changed) <= fewChanged*float64(repeats) {
				continue // marks begin anew at each place
			}
			return fmt.Sprintf("of %d repeats %d change in column %q", repeats, changed, g.table.Columns[column].Heading)
		}
	}
	return ""
}

// againOnOneDay reports whether the values of a column come again, and nothing
// says that they do so on another day.
func (g *guesser) againOnOneDay(column int) bool {
	day := g.columnOf("eventDate")
	if day < 0 {
		return false
	}
	changed, repeats := g.changes(column, day, -1)
	return repeats > 0 && 2*changed < repeats
}

// fewestAgain is how often a number must stand again for the sexes beside it to tell
// whether it is an animal's.
const fewestAgain = 5

// keepsSex reports whether what has the same number is of the same sex as well,
// which places, nests and litters are not.
func (g *guesser) keepsSex(it *item) bool {
	column := g.columnOf("sex")
	if column < 0 || g.profiles[column].distinct < 2 {
		return false
	}
	changed, repeats := g.changes(it.columns[0], column, -1)
	return repeats >= fewestAgain && 10*changed <= repeats
}

// columnOf returns the column that was given a term, or -1.
func (g *guesser) columnOf(term string) int {
	for _, it := range g.items {
		if it.chosen != nil && it.chosen.meaning.Role == record.Term && it.chosen.meaning.Term == term {
			return it.columns[0]
		}
	}
	return -1
}

// untold reports whether a text says that the sex was not told, which changes into
// another and contradicts none.
func (g *guesser) untold(text string) bool {
	sex, ok, _ := g.know.lists["sex"].Known(text, nil)
	return ok && sex == "indeterminate"
}

// changes counts how often a text of column a that was above is beside
// another text of column b now; with the same text of a third column, unless that
// is negative.
func (g *guesser) changes(a, b, within int) (changed, repeats int) {
	last := map[string]string{}
	for _, row := range g.table.Rows {
		if a >= len(row.Cells) || b >= len(row.Cells) {
			continue
		}
		x, y := strings.TrimSpace(row.Cells[a].Text), vocabulary.Fold(row.Cells[b].Text)
		if x == "" || y == "" || quantity.Missing(x) || quantity.Missing(row.Cells[b].Text) || g.untold(row.Cells[b].Text) {
			continue
		}
		if within >= 0 && within < len(row.Cells) {
			x += "\x00" + vocabulary.Fold(row.Cells[within].Text)
		}
		if before, again := last[x]; again {
			repeats++
			if before != y {
				changed++
			}
		}
		last[x] = y
	}
	return changed, repeats
}

// smallCounts is the largest number that counts and steps of a scale seldom
// exceed.
const smallCounts = 15

// doubtSize tests lengths and masses: a few small whole numbers are counts or
// steps of a scale.
func (g *guesser) doubtSize(it *item, c *candidate, p *profile) string {
	dimension := quantity.Dimension(c.meaning.Unit)
	if broken := int(math.Round((1 - p.whole) * float64(len(p.values)))); countedOne(g.know.measurements[c.meaning.Measurement]) && broken > 1 && p.whole < 0.95 {
		return fmt.Sprintf("%d of %d numbers are not whole, but counts are", broken, len(p.values))
	}
	if n := len(p.values); dimension == "mass" && it.unit == "" && n >= 5 && p.values[0] > 0 && p.values[n-1] > widestMasses*p.values[0] {
		return fmt.Sprintf("the numbers range from %s to %s, more than the animals that one team weighs in one unit", number(p.values[0]), number(p.values[n-1]))
	}
	if dimension != "length" && dimension != "mass" || it.unit != "" || len(p.values) < 5 {
		return ""
	}
	different := len(slices.Compact(slices.Clone(p.values)))
	if p.whole == 1 && different <= smallCounts && p.values[len(p.values)-1] <= smallCounts && p.values[0] <= 3 {
		return fmt.Sprintf("%d different whole numbers up to %s look like counts or codes", different, number(p.values[len(p.values)-1]))
	}
	return ""
}

// largestUnstated is the mass up to which a number without a unit is read as
// grams where no length speaks for it: such animals are weighed in grams, larger
// ones in grams, kilograms, pounds or ounces.
const largestUnstated = 250

// widestMasses is how many times the lightest the heaviest animal of a sheet
// may weigh where nothing says the unit: a shrew of 2 g and a hare of 4 kg are
// 2,000 apart.
const widestMasses = 10000

// withLength reports whether a column holds a length of the whole animal that
// the mass can be held against.
func (g *guesser) withLength(mass *item) bool {
	for _, it := range g.items {
		if it.chosen != nil && it.chosen.meaning.Role == record.Measurement && slices.Contains(sizeOrder, it.chosen.meaning.Measurement) && len(g.profiles[it.columns[0]].values) >= 5 {
			return true
		}
	}
	return false
}

// besideLengths reports whether another column holds a length.
func (g *guesser) besideLengths(it *item) bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return o != it && o.chosen != nil && o.chosen.meaning.Role == record.Measurement && quantity.Dimension(o.chosen.meaning.Unit) == "length"
	})
}

// lighter reports whether the numbers of an item are less than those of the
// column that is another part of the weighing.
func (g *guesser) lighter(it *item, part string) bool {
	other := g.chosenAs(func(m record.Meaning) bool { return m.Role == record.WeighPart && m.Part == part })
	if other == nil {
		return false
	}
	more, n := g.larger(it, other)
	return n >= 5 && 2*more < n
}
