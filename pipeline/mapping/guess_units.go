package mapping

import (
	"math"
	"slices"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// sizeOrder is the order in which lengths are held against the mass: those
// that say most of the whole body first.
var sizeOrder = []string{"snoutVentLength", "snoutUrostyleLength", "forkLength", "standardLength", "totalLength", "length", "headBodyLength", "carapaceLength", "curvedCarapaceLength", "plastronLength", "bodyLength", "wingLength", "flattenedWingLength", "forearmLength"}

// settleUnits finds units that nobody wrote from how much an animal of that
// length weighs: steps of a thousand cannot be mistaken for each other.
func (g *guesser) settleUnits() {
	mass := g.chosenAs(func(m record.Meaning) bool {
		return m.Role == record.WeighPart && m.Part != record.Tare && m.Unit != ""
	})
	if mass == nil {
		mass = g.chosenAs(func(m record.Meaning) bool { return m.Measurement == "bodyMass" })
	}
	if mass == nil {
		return
	}
	for _, name := range sizeOrder {
		length := g.chosenAs(func(m record.Meaning) bool { return m.Role == record.Measurement && m.Measurement == name })
		if length == nil {
			continue
		}
		if g.settlePair(length, mass, g.know.massBy[name]) {
			g.sameUnit(length)
			return
		}
	}
}

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
	suits := func(l, m string) bool {
		cm, _ := inUnit(1, l, "cm")
		grams, _ := inUnit(1, m, "g")
		k := stoutness * grams / (cm * cm * cm)
		return k >= usual.Low && k <= usual.High
	}
	lu, mu := length.chosen.meaning.Unit, mass.chosen.meaning.Unit
	if suits(lu, mu) {
		for _, it := range []*item{length, mass} {
			if it.unit == "" && (length.unit != "" || mass.unit != "") {
				it.chosen.support(0.5, "its size suits the other's unit")
			}
		}
		return true
	}
	var found [][2]string
	for _, l := range unitsOr(length.unit, "mm", "cm") {
		for _, m := range unitsOr(mass.unit, "g", "kg", "mg") {
			if suits(l, m) {
				found = append(found, [2]string{l, m})
			}
		}
	}
	if i := slices.IndexFunc(found, func(f [2]string) bool { return f[0] == lu }); i > 0 {
		found[0], found[i] = found[i], found[0] // the length's likeliest unit stays where it can
	}
	if len(found) == 0 {
		g.unsettled(length, mass)
		return true
	}
	for k, it := range []*item{length, mass} {
		if it.chosen.meaning.Unit != found[0][k] {
			it.chosen.meaning.Unit = found[0][k]
			it.chosen.reasons = append(it.chosen.reasons, "nothing says the unit: it is read as "+found[0][k]+", in which mass and length go together as in animals")
		}
	}
	return true
}

// unsettled withdraws the one of length and mass whose unit nobody wrote: in no
// unit do they go together.
func (g *guesser) unsettled(length, mass *item) {
	it := mass
	if mass.unit != "" {
		it = length
	}
	if it.unit != "" {
		return // both are written: that is for the screening
	}
	why := "in no unit do mass and length go together as in animals"
	it.withdrawn = append(it.withdrawn, withdrawal{it.chosen, why})
	it.chosen.reasons = append(it.chosen.reasons, "but "+why)
	it.chosen.score = contradicted
	it.chosen = nil
}

func unitsOr(written string, others ...string) []string {
	if written != "" {
		return []string{written}
	}
	return others
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
