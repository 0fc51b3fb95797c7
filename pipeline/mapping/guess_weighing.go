package mapping

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// weighings looks for columns whose numbers are gross, tare and net of each
// other, and weighs the order of those that may be gross and tare.
func (g *guesser) weighings(numeric []*item) {
	masses := slices.DeleteFunc(slices.Clone(numeric), func(it *item) bool {
		may := g.silent(it) || it.may(isMass) || g.know.onlyAnimals(g.readings[it.columns[0]].words)
		return it.replicates != nil || !may || it.unit != "" && quantity.Dimension(it.unit) != "mass"
	})
	if len(masses) > 15 {
		masses = slices.DeleteFunc(masses, func(it *item) bool { return !it.may(isMass) })
	}
	for _, a := range masses {
		for _, b := range masses {
			if a == b {
				continue
			}
			for _, c := range masses {
				if c != a && c != b && g.difference(a, b, c) {
					g.threeParts(a, b, c)
				}
			}
			g.twoParts(a, b)
		}
	}
}

// threeParts supports a as gross, b as tare and c as net.
func (g *guesser) threeParts(a, b, c *item) {
	if g.median(b) > g.median(c) && (!g.mayBe(b, record.Tare) || g.mayBe(c, record.Tare)) {
		return // the same sum with tare and net changed over
	}
	for _, part := range []struct {
		it   *item
		name string
		why  string
	}{{a, record.Gross, "it is the sum of"}, {b, record.Tare, "it is the difference of"}, {c, record.Net, "it is the difference of"}} {
		others := []string{}
		for _, o := range []*item{a, b, c} {
			if o != part.it {
				others = append(others, o.heading)
			}
		}
		part.it.addByValues(record.Meaning{Role: record.WeighPart, Part: part.name, Unit: cmp.Or(part.it.unit, "g")}, 4.5,
			"%s columns %q and %q in most rows", part.why, others[0], others[1])
	}
}

func (g *guesser) median(it *item) float64 { return g.profiles[it.columns[0]].median() }

func (g *guesser) mayBe(it *item, part string) bool {
	return it.may(func(c *candidate) bool {
		return c.meaning.Part == part && c.weight > 0
	})
}

// difference reports whether a − b is c, within rounding, in four of five rows
// at least.
func (g *guesser) difference(a, b, c *item) bool {
	x, y, z := g.profiles[a.columns[0]].numbers, g.profiles[b.columns[0]].numbers, g.profiles[c.columns[0]].numbers
	n, same := 0, 0
	for i := range x {
		if math.IsNaN(x[i]) || math.IsNaN(y[i]) || math.IsNaN(z[i]) || y[i] == 0 || z[i] == 0 {
			continue
		}
		n++
		if math.Abs(x[i]-y[i]-z[i]) <= 0.051 {
			same++
		}
	}
	return n >= 5 && 5*same >= 4*n
}

// twoParts weighs a as gross and b as tare: the first is the larger.
func (g *guesser) twoParts(a, b *item) {
	if !g.mayBe(a, record.Gross) || !g.mayBe(b, record.Tare) {
		return
	}
	more, n := g.larger(a, b)
	if n < 5 {
		return
	}
	score, reason := 1.0, "the masses are larger than those of column %q in %d of %d rows"
	if float64(more) < 0.9*float64(n) {
		score, reason = -3, ""
	}
	for _, c := range a.candidates {
		if c.meaning.Part == record.Gross {
			c.support(score, reason, b.heading, more, n)
		}
	}
}

// larger counts the rows in which a is larger than b.
func (g *guesser) larger(a, b *item) (more, n int) {
	x, y := g.profiles[a.columns[0]].numbers, g.profiles[b.columns[0]].numbers
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) {
			n++
			if x[i] > y[i] {
				more++
			}
		}
	}
	return more, n
}

// reconsiderGross takes a mass for the gross mass where a tare is beside
// it, no other column is the gross mass, and the heading does not say net.
func (g *guesser) reconsiderGross() {
	var net, tare *item
	for _, it := range g.items {
		if it.chosen == nil || it.chosen.meaning.Role != record.WeighPart {
			continue
		}
		switch it.chosen.meaning.Part {
		case record.Gross:
			return
		case record.Net:
			net = it
		case record.Tare:
			tare = it
		}
	}
	if net == nil || tare == nil {
		return
	}
	if heading := vocabulary.Fold(net.heading); strings.Contains(heading, "net") || strings.Contains(heading, "liquid") {
		return
	}
	more, n := g.larger(net, tare)
	if n < 5 || float64(more) < 0.95*float64(n) {
		return
	}
	c := net.addByValues(record.Meaning{Role: record.WeighPart, Part: record.Gross, Unit: net.chosen.meaning.Unit}, 0, "")
	c.score = max(c.score, net.chosen.score) + 0.5
	c.reasons = append(slices.Clone(net.chosen.reasons), "the tare in column "+quoted(tare.heading)+" is not subtracted from it in another column, so it is read as the mass with the bag")
	net.chosen = c
}

func quoted(s string) string { return `"` + s + `"` }
