package mapping

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/pattern"
)

// measured are measurements, and masses of animals.
func (t *trial) measured() bool { return t.meaning.IsMeasured() }

// againstOtherNumbers are objections to numbers that are hardly those of a measurement.
var againstOtherNumbers = []objection{
	{why: "the heading says that the numbers are the steps of a scale",
		when: func(t *trial) bool {
			return scored().MatchString(t.above()) && (t.meaning.Role != record.Measurement || !countedOne(t.known()))
		}},
	{why: "words of the heading are left over, and say something else of it",
		when: func(t *trial) bool {
			return t.partial && t.known().Of == "eggs"
		}},
	aboutDroppings,
	{why: "it is the mass of all animals that a row counts",
		when: func(t *trial) bool { return t.meaning.IsMass() && t.ofSeveral(t.it) && t.counts() }},
	sumOfOthers,
	{why: "the heading says what it is counted per",
		when: func(t *trial) bool {
			return t.known().Dimension == "count" && perSomething().MatchString(t.above())
		}},
	{why: "most of the values are not numbers",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Measurement && t.p.filled >= 3 && t.p.numeric < 0.5
		}},
	{why: "most of the numbers begin with a zero, like times and catalogue numbers",
		when: func(t *trial) bool { return t.p.ofTexts(zeroFirst().MatchString) > 0.5 }},
	{why: "each cell holds two measurements",
		when: func(t *trial) bool {
			return strings.Contains(t.it.heading, "/") && t.p.ofTexts(twoNumbers().MatchString) > 0.5
		}},
	{why: "letters with a number are names of something",
		when: func(t *trial) bool { return t.p.ofTexts(labelWithNumber().MatchString) > 0.5 }},
	{why: "only parts of the body have a left and a right side",
		when: func(t *trial) bool { return t.meaning.Side != "" && t.known().Of != "" }},
	{why: "numbers above and below zero with so many decimals were worked out, and not read",
		when: func(t *trial) bool { return t.unstated() && t.p.computed() }},
	{why: "it is longer than one that ends farther back, in column %q",
		when:    func(t *trial) bool { return t.exceeded() != "" },
		figures: func(t *trial) []any { return []any{t.exceeded()} }},
	{why: "the numbers are those of warm bodies, %s to %s",
		when: func(t *trial) bool {
			return t.meaning.Measurement == "airTemperature" && t.p.within(bodyHeat[0], bodyHeat[1]) > 0.9 && len(t.p.values) > 5
		},
		figures: func(t *trial) []any { return []any{number(t.p.least()), number(t.p.greatest())} }},
	{why: "the column of the other side has quite other numbers",
		when: func(t *trial) bool { return t.unstated() && slices.Contains(t.unlikeSides, t.it.columns[0]) }},
	{why: "a part is measured beside the whole, and the letters may mean the total length",
		when: func(t *trial) bool {
			return t.meaning.Role == record.Measurement && !slices.Contains(sizeOrder, t.meaning.Measurement) && t.group != "bird" && t.it.namesOne("totalLength") &&
				!slices.ContainsFunc(t.items, func(o *item) bool { return o != t.it && o.namesOne(sizeOrder...) })
		}},
	{why: "every row is the same, but animals differ",
		when: func(t *trial) bool {
			return t.unstated() && t.p.filled >= 5 && t.p.distinct == 1 && t.known().Instrument == caliper
		}},
}

// againstUnstatedUnits are objections to a measurement whose unit depends on who took it.
var againstUnstatedUnits = []objection{
	{ofUnit: true, why: "nothing says the unit, and animals of the group %s are measured in several units",
		when: func(t *trial) bool {
			return t.unstated() && slices.Contains(ofSeveralUnits, t.group) && (t.dimension() == "mass" || t.dimension() == "length") && !t.withLength()
		},
		figures: func(t *trial) []any { return []any{t.group} }},
	{ofUnit: true, why: "nothing says whether it is in mm or cm, and no mass shows it",
		when: func(t *trial) bool {
			return t.unstated() && t.group == "fish" && t.dimension() == "length" && t.p.median() < smallFish && t.chosenAs(isMassOf) == nil
		}},
	{ofUnit: true, why: "nothing says the unit, and in that of the length of the animal it would be a usual share of it",
		when: func(t *trial) bool { return t.unstated() && t.group != "snake" && t.sharesUnit() }},
	{ofUnit: true, why: "nothing says the unit, and wind is given in m/s, km/h, knots and steps of a scale",
		when: func(t *trial) bool { return t.unstated() && t.dimension() == "velocity" }},
	{ofUnit: true, why: "nothing says the unit, and depths are given in cm, m and fathoms",
		when: func(t *trial) bool { return t.unstated() && t.meaning.Measurement == "waterDepth" }},
	{why: "nothing says whether it is in years, months or days, or a class code",
		when: func(t *trial) bool {
			return t.unstated() && t.dimension() == "time" && !slices.Contains(agedInYears, t.group)
		}},
	{why: "some numbers are many times as large as all others, and may be in another unit",
		when: func(t *trial) bool {
			return t.unstated() && t.meaning.Role == record.Measurement && t.dimension() == "length" && t.p.ofTwoSizes()
		}},
	{why: "a few letters of the heading mean it, and not all numbers are plausible for it",
		when: func(t *trial) bool {
			letters := utf8.RuneCountInString(t.candidate.heading)
			return t.unstated() && letters <= longestInitials && letters < t.reading.letters() && t.inside() < mostlyPlausible
		}},
	{why: "hardly any of the numbers is plausible for it",
		when: func(t *trial) bool {
			return (t.unstated() || t.reading.glued) && t.inside() < 0.1
		}},
	{why: "nothing says the unit, nor which animals were weighed, when or where",
		when: func(t *trial) bool {
			return t.unstated() && t.meaning.IsMass() && !t.saysElsewhere() && !t.saysWhenOrWhere()
		}},
	{ofUnit: true, why: "nothing says the unit, and each row is of another kind of animal",
		when: func(t *trial) bool {
			return t.unstated() && t.ofKinds() && (t.meaning.IsMass() && !t.withLength() || t.dimension() == "length" && t.sizeAlone())
		}},
	{why: "numbers with so many decimals were worked out, and they are too small for millimetres",
		when: func(t *trial) bool {
			return t.unstated() && t.meaning.Role == record.Measurement && t.meaning.Unit == "cm" && t.p.workedOut(centimetreDecimals)
		}},
}

// inside is the share of the numbers that are plausible for the measurement: all, where
// there are too few to tell, and of masses, since animals of all sizes are weighed.
func (t *trial) inside() float64 {
	if t.weighed() || len(t.p.values) < 5 {
		return 1
	}
	share, _ := plausible(t.p, t.known(), t.meaning.Unit)
	return share
}

// mostlyPlausible is the share of plausible numbers from which a few letters among others
// may mean a measurement.
const mostlyPlausible = 0.9

// exceeded returns the heading of a length of the whole fish that ends farther back than
// this one and is shorter in nearly all rows, or "".
func (t *trial) exceeded() string {
	end := slices.Index(wholeFish, t.meaning.Measurement)
	for _, o := range t.items {
		if end < 0 || o.chosen == nil || slices.Index(wholeFish, o.chosen.meaning.Measurement) <= end || o.unit != t.it.unit {
			continue
		}
		if more, n := t.larger(t.it, o); n >= 5 && float64(more) > nearlyAll*float64(n) {
			return o.heading
		}
	}
	return ""
}

// sharesUnit reports whether a length is a usual share of the snout-vent length in the
// unit that is stated for that, and an unusual one in the unit that it was given.
func (t *trial) sharesUnit() bool {
	body := t.chosenAs(func(m record.Meaning) bool { return m.Measurement == "snoutVentLength" })
	usual, known := t.know.proportions[t.meaning.Measurement]
	if !known || body == nil || body.unit == "" || body.unit == t.meaning.Unit {
		return false
	}
	share := t.p.median() / t.profiles[body.columns[0]].median()
	other, _ := inUnit(share, t.meaning.Unit, body.unit)
	return usual.nearly(share) && !usual.nearly(other)
}

// dimension is that of the unit.
func (t *trial) dimension() string { return quantity.Dimension(t.meaning.Unit) }

func isMeasured(c *candidate) bool { return c.meaning.IsMeasured() }

// scored matches a heading that gives the steps of a scale: "Cond (1-5)".
var scored = pattern.Of(`[(\[]\s*[01]\s*(-|–|to|a|à|bis)\s*\d{1,2}\s*[)\]]`)

// perSomething matches a heading that says of what the number of a count is:
// "Lungworm (lpg)", "Mites (per g)", "Ticks/h".
var perSomething = pattern.Of(`(?i)([(\[]\s*(\p{L}pg|per\b[^)\]]*|%)\s*[)\]]|/ ?(h|g|ml|min|day|m2|m²)\b)`)

// zeroFirst matches numbers that nobody measured: 0015, 007.
var zeroFirst = pattern.Of(`^0\d`)

// twoNumbers matches two measurements in one cell: 62/148 under "SVL/TL".
var twoNumbers = pattern.Of(`^\d+(?:[.,]\d+)?\s*/\s*\d+(?:[.,]\d+)?$`)

// bodyHeat is the range of body temperatures of birds and mammals in °C: common
// practice.
var bodyHeat = [2]float64{35, 43.5}

const fahrenheit = "[degF]"

// caliper is the instrument of what is measured on the body.
const caliper = "caliper"

// smallFish is the length in mm below which a fish is smaller than most that
// teams measure; numbers below it are as likely to be centimetres.
const smallFish = 100

// agedInYears are the groups whose ages are read from rings and given in years
// without saying so (common practice).
var agedInYears = []string{"fish", "turtle"}

// ofSeveralUnits are the groups whose sizes are given now in mm, now in cm, and
// whose masses now in kg, now in pounds (common practice).
var ofSeveralUnits = []string{"ungulate"}

// namesOne reports whether the heading stands for one of some measurements.
func (it *item) namesOne(measurements ...string) bool {
	return it.may(func(c *candidate) bool {
		return c.weight > 0 && slices.Contains(measurements, c.meaning.Measurement)
	})
}

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

// smallCounts is the largest number that counts and steps of a scale seldom
// exceed.
const smallCounts = 15

// doubtSize tests lengths, masses, conductivities and temperatures: a few small whole numbers are counts or
// steps of a scale.
func doubtSize(t *trial) string {
	p := t.p
	dimension := t.dimension()
	if broken := int(math.Round((1 - p.whole) * float64(len(p.values)))); countedOne(t.known()) && broken > 1 && p.whole < 0.95 {
		return fmt.Sprintf("%d of %d numbers are not whole, but counts are", broken, len(p.values))
	}
	if dimension == "mass" && t.unstated() && len(p.values) >= 5 && p.least() > 0 && p.greatest() > widestMasses*p.least() {
		return fmt.Sprintf("the numbers range from %s to %s, more than the animals that one team weighs in one unit", number(p.least()), number(p.greatest()))
	}
	if !slices.Contains([]string{"length", "mass", "conductivity", "temperature"}, dimension) || !t.unstated() || len(p.values) < 5 {
		return ""
	}
	different := len(slices.Compact(slices.Clone(p.values)))
	if p.whole == 1 && different <= smallCounts && p.greatest() <= smallCounts && p.least() <= 3 {
		return fmt.Sprintf("%d different whole numbers up to %s look like counts or codes", different, number(p.greatest()))
	}
	return ""
}

// widestMasses is how many times the lightest the heaviest animal of a sheet
// may weigh where nothing says the unit: a shrew of 2 g and a hare of 4 kg are
// 2,000 apart.
const widestMasses = 10000

// withLength reports whether a column holds a length of the whole animal that a mass can
// be held against.
func (g *guesser) withLength() bool {
	return g.beside(nil, func(it *item) bool {
		return slices.Contains(sizeOrder, it.chosen.meaning.Measurement) && len(g.profiles[it.columns[0]].values) >= 5
	})
}

// besideLengths reports whether another column holds a length.
func (t *trial) besideLengths() bool {
	return t.beside(func(o *item) bool {
		return o.chosen.meaning.Role == record.Measurement && quantity.Dimension(o.chosen.meaning.Unit) == "length"
	})
}
