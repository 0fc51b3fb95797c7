package mapping

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// groupsAlike are groups that share measurements.
var groupsAlike = map[string][]string{
	"bat": {"bat", "mammal"}, "mammal": {"mammal"}, "anuran": {"anuran", "larva"}, "salamander": {"salamander", "larva", "lizard"},
	"lizard": {"lizard"}, "snake": {"snake", "lizard"}, "turtle": {"turtle"}, "bird": {"bird"}, "fish": {"fish"}, "crab": {"crab"},
	"ungulate": {"ungulate", "mammal"},
}

// suits reports whether a measurement of that scope is taken on animals of the
// group; sure is false where either is open.
func suits(scope, group string) (ok, sure bool) {
	if scope == "any" || scope == "" || group == "" {
		return true, false
	}
	return slices.ContainsFunc(strings.Split(scope, "|"), func(s string) bool { return slices.Contains(groupsAlike[group], s) }), true
}

// findGroup tells which group of animals the table is about, or "": by words
// in its headings and its name, by the names of its species, and by
// measurements that are taken on one group only. One column, unless it is
// negative, has no vote.
func (g *guesser) findGroup(without int) string {
	votes := map[string]float64{}
	measured := map[string][]int{} // columns of letters for what is measured on such animals
	vote := func(text string, weight float64, seen map[string]bool) {
		for _, part := range headingParts(text) {
			word := vocabulary.Fold(part)
			if len(g.know.groupWords[word]) == 0 && len(word) > 3 {
				word = strings.TrimSuffix(word, "s") // eels, sandpipers
			}
			for _, group := range g.know.groupWords[word] {
				if !seen[group] {
					seen[group] = true
					votes[group] += weight
				}
			}
		}
	}
	seen := map[string]bool{}
	vote(strings.Join([]string{g.table.File, g.table.Sheet}, " "), 2, seen)
	for _, l := range g.table.Labels {
		vote(l.Name+" "+l.Cell.Text, 1, seen)
	}
	for i, c := range g.table.Columns {
		if i == without {
			continue
		}
		vote(c.Heading, 1.2, map[string]bool{})
		known := g.headingsOf(i)
		if len(known) > 0 && known[0].Weight >= generalHeading && !slices.ContainsFunc(known, func(h vocabulary.Heading) bool { return h.Value != known[0].Value }) {
			for group := range g.know.lacks {
				if g.know.lacks[group][known[0].Value] {
					votes[group] -= 2 // no sheep has a snout-vent length
				}
			}
		}
		most := map[string]float64{} // of the meanings that a heading has in several languages
		letters := len(known) > 0 && g.readings[i].letters() <= longestInitials
		for _, h := range known {
			if h.Role == vocabulary.HeadingMeasurement && h.Weight > generalWord {
				for group, scopes := range groupsAlike {
					if ok, sure := suits(g.know.measurements[h.Value].Scope, group); ok && sure {
						most[group] = max(most[group], 0.8*h.Weight*h.Weight/float64(len(scopes)))
					}
				}
			}
		}
		for group, n := range most {
			votes[group] += n
			if letters {
				measured[group] = append(measured[group], i)
			}
		}
		g.voteByNames(g.profiles[i], votes)
	}
	if g.wholeLengths() {
		votes["fish"] += 2
	}
	best := ""
	for group := range groupsAlike {
		if votes[group] > votes[best] || votes[group] == votes[best] && group < best {
			best = group
		}
	}
	spokenFor := 0
	for group, n := range votes {
		spokenFor += int(share(n > 0))
		if group != best && n > votes[best]*0.7 && !explainsMore(measured[best], measured[group]) && !slices.Contains(groupsAlike[best], group) && !slices.Contains(groupsAlike[group], best) {
			return ""
		}
	}
	least := 1.5
	if spokenFor == 1 || len(measured[best]) >= fewestMeasured {
		least = 1
	}
	if votes[best] < least {
		return ""
	}
	return best
}

// fewestMeasured is how many columns of letters for what is measured on one group say as
// much as a word for it.
const fewestMeasured = 3

// explainsMore reports whether one group has all columns of another, and others: beside
// the length and the width of a carapace, PL is of turtles and not of crabs.
func explainsMore(columns, others []int) bool {
	return len(columns) >= fewestMeasured && len(columns) > len(others) && !slices.ContainsFunc(others, func(i int) bool { return !slices.Contains(columns, i) })
}

// headingsOf returns the known headings that the heading of a column is, or else the
// lowest of its heading rows by itself.
func (g *guesser) headingsOf(i int) []vocabulary.Heading {
	if known := g.know.headings[vocabulary.Fold(g.readings[i].whole)]; len(known) > 0 {
		return known
	}
	return g.know.headings[vocabulary.Fold(g.know.read(lowest(&g.table.Columns[i])).whole)]
}

// wholeFish are the lengths of a whole fish, from the shortest to the longest.
var wholeFish = []string{"standardLength", "forkLength", "totalLength"}

// wholeLengths reports whether two columns may be lengths of a whole fish, to
// the fork, to the end of the fin or without it: one is nearly as long as the other, and
// always by the same share, as no part of an animal is of its whole.
func (g *guesser) wholeLengths() bool {
	var of [3][]int
	for i := range g.readings {
		for k, name := range wholeFish {
			if slices.ContainsFunc(g.headingsOf(i), func(h vocabulary.Heading) bool { return h.Value == name }) {
				of[k] = append(of[k], i)
			}
		}
	}
	for k, shorter := range of[:2] {
		for _, longer := range of[k+1:] {
			for _, a := range shorter {
				for _, b := range longer {
					if shift, spread, n := g.ratio(a, b); a != b && n >= 5 && shift > leastFin && shift < longestFin && spread < finSpread {
						return true
					}
				}
			}
		}
	}
	return false
}

// The logarithm of the ratio of two lengths of a whole fish, and how far it may be
// from its median.
const (
	leastFin   = 0.01
	longestFin = 0.35
	finSpread  = 0.03
)

// taxonTerms are the terms of columns that say which animals a row is about.
var taxonTerms = []string{"scientificName", "vernacularName", "verbatimIdentification", "family", "genus", "specificEpithet", "taxonID"}

// saysWhich reports whether the sheet says which animals it is about.
func (g *guesser) saysWhich() bool {
	return g.group != "" || slices.ContainsFunc(taxonTerms, func(term string) bool { return g.columnOf(term) >= 0 })
}

// aboutAnimals reports whether a column names animals, their stages or marks.
func (g *guesser) aboutAnimals() bool {
	return g.saysWhich() || g.columnOf("lifeStage") >= 0 || g.columnOf("organismID") >= 0
}

// saysElsewhere reports whether something besides the column says that animals were
// measured: other measurements, their sex or stage, or which animals they are.
func (t *trial) saysElsewhere() bool {
	byInitials := 0 // letters bear each other out if there are several
	return t.beside(func(o *item) bool {
		if o.chosen.meaning.Role == record.Measurement && vocabulary.OfBody(o.chosen.meaning.Measurement) {
			byInitials++
			return byInitials >= fewestMeasured-1 || !t.initials(o) || o.unit != ""
		}
		return o.chosen.meaning.IsMass()
	}) || t.besideTerm(taxonTerms...) || t.besideTerm("sex", "lifeStage", "organismID") || t.findGroup(t.it.columns[0]) != ""
}

// generalWord is the weight up to which a heading tells nothing of the animals.
const generalWord = 0.5

// voteByNames lets the texts of a column vote if they name animals: a share of
// them, so that remarks that mention an animal count little.
func (g *guesser) voteByNames(p *profile, votes map[string]float64) {
	if p.filled < 3 || p.numeric > 0.2 || p.distinct > 60 && p.unique > 0.9 {
		return
	}
	counts := map[string]int{}
	for _, t := range p.texts {
		seen := map[string]bool{}
		for _, part := range headingParts(t) {
			for _, group := range g.know.groupWords[vocabulary.Fold(part)] {
				if !seen[group] {
					seen[group] = true
					counts[group]++
				}
			}
		}
	}
	for group, n := range counts {
		votes[group] += 4 * float64(n) / float64(p.filled)
	}
}

// longestLetters is the length up to which a heading is read as letters that stand
// for words.
const longestLetters = 4

// groupMeasured reports whether a heading names in words what is measured on animals of
// the group and on few others.
func (g *guesser) groupMeasured() bool {
	return g.mayHold(func(c *candidate) bool {
		return c.meaning.Role == record.Measurement && c.weight >= composedWeight && len([]rune(c.heading)) > longestLetters && slices.Contains(strings.Split(g.know.measurements[c.meaning.Measurement].Scope, "|"), g.group)
	})
}

// ofOtherAge reports whether a measurement is of a part that larvae have and the
// animals of the sheet are grown, or the other way round.
func (g *guesser) ofOtherAge(c *candidate) bool {
	if g.larvae() {
		return g.know.grown[g.group][c.meaning.Measurement]
	}
	return g.know.larval[g.group][c.meaning.Measurement]
}

// larvae reports whether most animals of the sheet have a stage before that in which
// the forelimbs of tadpoles come out.
func (g *guesser) larvae() bool {
	for _, it := range g.items {
		p := g.profiles[it.columns[0]]
		if len(p.values) >= 5 && p.median() < forelimbStage && it.may(func(c *candidate) bool { return c.meaning.Measurement == "gosnerStage" && c.weight >= generalHeading }) {
			return true
		}
	}
	return false
}

// forelimbStage is the stage in which the forelimbs come out (Gosner 1960,
// Herpetologica 16: 183-190).
const forelimbStage = 42

// fitScope weighs a measurement by the group of animals that it is taken on.
func (g *guesser) fitScope(c *candidate, scope string) {
	ok, sure := suits(scope, g.group)
	switch {
	case g.know.lacks[g.group][c.meaning.Measurement] && len([]rune(c.heading)) <= longestLetters && g.groupMeasured():
		c.support(-8, "") // letters that stand for something else here
	case g.know.lacks[g.group][c.meaning.Measurement], g.ofOtherAge(c) && c.weight < generalHeading:
		c.support(-4, "")
	case c.meaning.Measurement == "length" && g.group == "turtle":
		c.support(-1.5, "") // the length of a turtle is that of its shell
	case !sure && scope != "any" && scope != "" && c.weight < 0.8:
		c.support(-1.2, "")
	case !sure:
	case ok:
		c.support(1.5, "the sheet is about animals of the group %s", g.group)
	case c.weight < 0.9:
		c.support(-4, "")
	default:
		c.support(-1, "")
	}
}
