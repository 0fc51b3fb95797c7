package mapping

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// sizeOrder is the order in which lengths are held against the mass: those
// that say most of the whole body first.
var sizeOrder = []string{"snoutVentLength", "snoutUrostyleLength", "forkLength", "standardLength", "totalLength", "length", "headBodyLength", "carapaceLength", "curvedCarapaceLength", "plastronLength", "bodyLength", "wingLength", "flattenedWingLength", "forearmLength", "hindfootLength"}

// settleUnits finds units that nobody wrote from how much an animal of that
// length weighs: steps of a thousand cannot be mistaken for each other.
func (g *guesser) settleUnits() {
	mass := cmp.Or(g.chosenAs(isNetMass), g.chosenAs(isMassOf))
	if mass == nil {
		return
	}
	for _, name := range sizeOrder {
		if g.ofYoung() && slices.Contains(grownLater, name) {
			continue
		}
		length := g.chosenAs(func(m record.Meaning) bool { return m.Measurement == name })
		if length == nil {
			continue
		}
		if g.settlePair(length, mass, g.know.massBy[name]) {
			g.sameUnit(length)
			return
		}
	}
}

// grownLater are lengths that in the young are other shares of the animal than later.
var grownLater = []string{"wingLength", "flattenedWingLength", "forearmLength", "hindfootLength"}

// holds reports whether a mass over the cube of a length, in their units, is usual.
func (p proportion) holds(stoutness float64, length, mass string) bool {
	cm, _ := inUnit(1, length, "cm")
	grams, _ := inUnit(1, mass, "g")
	k := stoutness * grams / (cm * cm * cm)
	return k >= p.Low && k <= p.High
}

// fitsMass reports whether a length goes with the masses of the animals: it is usual for
// them, and longer in heavier ones.
func (t *trial) fitsMass() bool {
	mass := t.chosenAs(isMassOf)
	if mass == nil || mass == t.it {
		return false
	}
	_, r, _, n := t.power(t.it, mass)
	return n >= 5 && r > leastWithMass && t.know.massBy[t.meaning.Measurement].holds(t.stoutness(t.it, mass), t.meaning.Unit, mass.chosen.meaning.Unit)
}

// leastWithMass is the correlation of the logarithms from which a length goes with a mass.
const leastWithMass = 0.4

// sameUnit reads lengths of the whole animal that have no unit either as the
// one that the mass settled, where the numbers are of one size.
func (g *guesser) sameUnit(settled *item) {
	if settled.chosen == nil {
		return
	}
	unit, middle := settled.chosen.meaning.Unit, g.profiles[settled.columns[0]].median()
	for _, it := range g.items {
		if it == settled || it.unit != "" || it.chosen == nil || !slices.Contains(sizeOrder, it.chosen.meaning.Measurement) {
			continue
		}
		if r := g.profiles[it.columns[0]].median() / middle; r > 0.5 && r < 4 {
			it.chosen.meaning.Unit = unit
		}
	}
}

// fewestAlike is the number of lengths from which their unit is that of a table.
const fewestAlike = 3

// oneUnit reads a length of which nothing says the unit in the one of the others, where
// these agree and the numbers are possible in it: nobody changes the unit from
// column to column without a word.
func (g *guesser) oneUnit() {
	lengths := map[string][]*item{} // by unit
	for _, it := range g.items {
		if it.chosen == nil || it.chosen.meaning.Role != record.Measurement {
			continue
		}
		m := g.know.measurements[it.chosen.meaning.Measurement]
		if m.Dimension == "length" && m.Of == "" {
			lengths[it.chosen.meaning.Unit] = append(lengths[it.chosen.meaning.Unit], it)
		}
	}
	if len(lengths) != 2 {
		return
	}
	for unit, alike := range lengths {
		for other, few := range lengths {
			if other == unit || len(alike) < fewestAlike || len(few) > 1 {
				continue
			}
			it := few[0]
			if inside, _ := plausible(g.profiles[it.columns[0]], g.know.measurements[it.chosen.meaning.Measurement], unit); it.unit == "" && inside > 0.5 {
				it.chosen.meaning.Unit = unit
				it.chosen.reasons = append(it.chosen.reasons, "the other lengths are in "+unit)
			}
		}
	}
}

// dropUnitsOfOthers takes the unit of an upper heading row off a column of texts
// that the row stretches over as well.
func (g *guesser) dropUnitsOfOthers() {
	for i, c := range g.table.Columns {
		if n := len(c.Parts); n > 1 && g.profiles[i].numeric < 0.2 {
			if _, _, own := quantity.HeadingUnit(c.Parts[n-1]); !own {
				g.readings[i].unit = ""
			}
		}
	}
}

func (g *guesser) chosenAs(is func(record.Meaning) bool) *item {
	for _, it := range g.items {
		if it.chosen != nil && is(it.chosen.meaning) {
			return it
		}
	}
	return nil
}

// settlePair reports whether a length and a mass could be held against each
// other.
func (g *guesser) settlePair(length, mass *item, usual proportion) bool {
	stoutness := g.stoutness(length, mass)
	if math.IsNaN(stoutness) || usual.High == 0 {
		return false
	}
	suits := func(l, m string) bool { return usual.holds(stoutness, l, m) }
	lu, mu := length.chosen.meaning.Unit, mass.chosen.meaning.Unit
	if suits(lu, mu) {
		for _, it := range []*item{length, mass} {
			if it.unit == "" && (length.unit != "" || mass.unit != "") {
				it.chosen.support(0.5, "its size fits the other's unit")
			}
		}
		return true
	}
	var found [][2]string
	for _, pair := range unitPairs {
		written := length.unit == pair[0] || length.unit == "" && pair[1] != "mg" // (cm, g) is the ratio of (mm, mg), and of larger animals
		if written && (mass.unit == "" || mass.unit == pair[1]) && suits(pair[0], pair[1]) {
			found = append(found, pair)
		}
	}
	switch unwritten := length.unit == "" && mass.unit == ""; {
	case len(found) == 0, len(found) == 1 && found[0][0] == inch && length.unit == "":
		doubted := mass
		if mass.unit != "" {
			doubted = length
		}
		g.unsettled("mass and length do not match in any metric unit as they do in animals", doubted)
		return true
	case unwritten && len(found) > 1:
		g.unsettled("mass and length match in several units as they do in animals", g.lengths(mass)...)
		return true
	}
	for k, it := range []*item{length, mass} {
		if it.chosen.meaning.Unit != found[0][k] {
			it.chosen.meaning.Unit = found[0][k]
			it.chosen.reasons = append(it.chosen.reasons, "nothing says the unit: it is read as "+found[0][k]+", in which mass and length match as they do in animals")
		}
	}
	return true
}

const inch = "[in_i]"

// unitPairs are the units of length and mass that teams write: common practice.
// Inches are never guessed; they speak against what else might be.
var unitPairs = [][2]string{{"mm", "g"}, {"cm", "g"}, {"mm", "kg"}, {"cm", "kg"}, {inch, "[lb_av]"}, {"mm", "mg"}, {"cm", "mg"}}

// lengths returns an item and all those that are given a length.
func (g *guesser) lengths(with *item) []*item {
	out := []*item{with}
	for _, it := range g.items {
		if it.chosen != nil && isMeasured(it.chosen) && quantity.Dimension(it.chosen.meaning.Unit) == "length" {
			out = append(out, it)
		}
	}
	return out
}

// unsettled withdraws the meanings of the items whose unit nobody wrote.
func (g *guesser) unsettled(why string, items ...*item) {
	for _, it := range items {
		if it.unit != "" {
			continue // what is written is for the screening
		}
		it.withdraw(why, true)
	}
}

// stoutness is the median of mass over the cube of length, in the units of the
// sheet; NaN where fewer than five rows have both.
func (g *guesser) stoutness(length, mass *item) float64 {
	l, m := g.profiles[length.columns[0]].numbers, g.profiles[mass.columns[0]].numbers
	p := &profile{}
	for i := range l {
		if l[i] > 0 && m[i] > 0 {
			p.values = append(p.values, m[i]/(l[i]*l[i]*l[i]))
		}
	}
	if len(p.values) < 5 {
		return math.NaN()
	}
	slices.Sort(p.values)
	return p.median()
}

func inUnit(x float64, from, to string) (float64, bool) {
	v, _, _, err := (quantity.Quantity{State: record.Measured, Number: x, Unit: from, Decimals: 6, Step: 1e-6}).In(to)
	return v, err == nil
}
