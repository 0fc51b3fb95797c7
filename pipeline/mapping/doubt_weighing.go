package mapping

import (
	"slices"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// weighed are the parts of a weighing.
func (t *trial) weighed() bool { return t.meaning.Role == record.WeighPart }

var againstWeighing = []objection{
	{why: "%d different values in %d rows are too many for the scales of a team",
		when:    func(t *trial) bool { return t.meaning.Part == record.Scale && t.p.filled > 5 && t.p.unique > 0.5 },
		figures: differentOfRows},
	{why: "no heading says that anything was weighed, and nothing that the rows are about animals",
		when: func(t *trial) bool {
			return (t.weight == 0 || t.meaning.Part == record.Scale) && !t.weighs() && !t.aboutAnimals()
		}},
	{why: "words of the heading are left over, and say something else of it",
		when: func(t *trial) bool {
			return t.partial && (t.meaning.Part == record.Scale || t.meaning.Part == record.Bag) && t.p.numeric > 0.9
		}},
	{why: "one number in all rows may be the mass of the bag or its name",
		when: func(t *trial) bool {
			return t.meaning.Part == record.Bag && t.p.numeric > 0.9 && t.p.distinct == 1 && t.p.filled > 1
		}},
	{why: "it is less than the mass of the animal, so it cannot be the mass with the bag",
		when: func(t *trial) bool { return t.meaning.Part == record.Gross && t.lighter() }},
	{why: "the heading says that it is the whole mass, and no other column is that of a bag or of the animal without it",
		when: func(t *trial) bool {
			return t.meaning.Part == record.Gross && t.ofSeveral(t.it) && !t.bagged() && !(t.meaning.IsMass() && t.counts())
		}},
	{ofUnit: true, why: "nothing says whether it is in g, kg or lb, and no length shows it; the median is %s",
		when: func(t *trial) bool {
			return t.meaning.Part == record.Net && t.unstated() && t.p.median() > largestUnstated && !t.withLength() && t.inPounds()
		},
		figures: func(t *trial) []any { return []any{number(t.p.median())} }},
}

// weighs reports whether a heading or a unit is that of a mass.
func (g *guesser) weighs() bool {
	return slices.ContainsFunc(g.items, func(o *item) bool {
		return quantity.Dimension(o.unit) == "mass" || o.may(func(c *candidate) bool { return c.meaning.IsMass() && c.weight > 0 })
	})
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
		return m.Part == record.Tare || m.Part == record.Net
	}) != nil
}

// isMassOf reports whether a meaning is the mass of an animal.
func isMassOf(m record.Meaning) bool {
	return m.Measurement == "bodyMass" || m.Role == record.WeighPart && m.Part != record.Tare && m.Unit != ""
}

// isNetMass reports whether a meaning is the mass of an animal without a bag.
func isNetMass(m record.Meaning) bool { return m.Part == record.Net }

// inPounds reports whether animals of the group may be so heavy that the numbers are kg
// or lb.
func (t *trial) inPounds() bool {
	heaviest, known := heaviestCaught[t.group]
	pounds, _ := inUnit(t.p.median(), "[lb_av]", "kg")
	return !known || pounds <= heaviest
}

// heaviestCaught is the mass in kg of the heaviest animals that are caught and weighed,
// by groups that have a limit (common practice).
var heaviestCaught = map[string]float64{"bird": 20, "bat": 2, "anuran": 4, "salamander": 40}

// largestUnstated is the mass up to which a number without a unit is read as
// grams where no length speaks for it: such animals are weighed in grams, larger
// ones in grams, kilograms, pounds or ounces.
const largestUnstated = 250

// lighter reports whether the numbers are less than those of the column of net masses.
func (t *trial) lighter() bool {
	net := t.chosenAs(isNetMass)
	if net == nil {
		return false
	}
	more, n := t.larger(t.it, net)
	return n >= 5 && 2*more < n
}
