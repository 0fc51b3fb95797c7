package mapping

import (
	"fmt"
	"slices"
	"strings"

	"github.com/hbollon/go-edlib"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// propose collects what the heading of an item may mean, and what its values
// may be under an unknown heading.
func (g *guesser) propose(it *item) {
	column := g.table.Columns[it.columns[0]]
	names := []string{it.heading}
	if _, rest, ok := quantity.HeadingUnit(it.heading); ok {
		names = append(names, rest)
	}
	if i := strings.IndexAny(it.heading, "(["); i > 0 {
		names = append(names, it.heading[:i])
	}
	for i, name := range names {
		g.exact(it, name, 1-0.02*float64(i))
	}
	if len(it.candidates) == 0 {
		g.shortened(it, names)
	}
	if len(it.candidates) == 0 {
		g.nearly(it, names)
	}
	if len(it.candidates) == 0 {
		g.within(it, names[len(names)-1])
	}
	if len(it.candidates) == 0 && len(column.Parts) > 1 {
		for _, part := range column.Parts {
			g.exact(it, part, 0.8)
		}
	}
	if it.replicates != nil {
		it.candidates = slices.DeleteFunc(it.candidates, func(c *candidate) bool { return c.meaning.Role != record.Measurement })
		return
	}
	g.proposeByValues(it)
}

// exact adds the meanings of a heading that is known as it stands.
func (g *guesser) exact(it *item, name string, factor float64) {
	for _, h := range g.know.headings[vocabulary.Fold(name)] {
		it.add(g.candidate(it, h, factor, "the heading %q stands for %s"))
	}
}

// shortened adds the meanings of known headings that this one may be cut down
// from, word by word: "Kopfbr." from Kopfbreite, "Larg. cabeça" from Largura
// cabeça. Three letters of a word must stand if a dot marks the cut, else four.
func (g *guesser) shortened(it *item, names []string) {
	for _, name := range names {
		words, least := strings.Fields(Fold(name)), 4
		if strings.Contains(name, ".") {
			least = 3
		}
		for i := range words {
			words[i] = vocabulary.Fold(words[i])
		}
		for _, known := range g.know.phrases {
			if cutFrom(words, known.words, least) {
				for _, h := range g.know.headings[known.key] {
					it.add(g.candidate(it, h, 0.7, "the heading %q is the beginning of one that stands for %s"))
				}
			}
		}
	}
}

// cutFrom reports whether each word is the beginning of the known word in its
// place, or that word itself.
func cutFrom(words, known []string, least int) bool {
	if len(words) != len(known) || len(words) == 0 {
		return false
	}
	for i, w := range words {
		if w != known[i] && (len(w) < least || !strings.HasPrefix(known[i], w)) {
			return false
		}
	}
	return true
}

// nearly adds the meanings of known headings that are spelt nearly so.
func (g *guesser) nearly(it *item, names []string) {
	for _, name := range names {
		key := vocabulary.Fold(name)
		n := len([]rune(key))
		if n < 5 || n > 60 {
			continue
		}
		slips := 1
		if n >= 9 {
			slips = 2
		}
		for _, known := range g.know.spelt {
			if d := len([]rune(known)) - n; d > slips || d < -slips {
				continue
			}
			if edlib.OSADamerauLevenshteinDistance(key, known) <= slips {
				for _, h := range g.know.headings[known] {
					it.add(g.candidate(it, h, 0.75, "the heading %q is spelt nearly as one that stands for %s"))
				}
			}
		}
	}
}

// within adds the meanings of known headings that stand as whole words in this
// one; the more of it they cover, the likelier.
func (g *guesser) within(it *item, name string) {
	words := strings.Fields(Fold(name))
	whole := len(strings.Join(words, ""))
	for size := min(3, len(words)); size > 0; size-- {
		for at := 0; at+size <= len(words); at++ {
			key := vocabulary.Fold(strings.Join(words[at:at+size], ""))
			if len(key) < 3 {
				continue
			}
			for _, h := range g.know.headings[key] {
				it.add(g.candidate(it, h, 0.4+0.35*float64(len(key))/float64(whole), "a word of the heading %q stands for %s"))
			}
		}
		if len(it.candidates) > 0 {
			return
		}
	}
}

// weighed names the part of a weighing that a mass is, where it was taken once.
var weighed = map[string]string{"bodyMass": record.Net, "grossMass": record.Gross, "bagMass": record.Tare}

// candidate makes a candidate of a heading's meaning.
func (g *guesser) candidate(it *item, h vocabulary.Heading, factor float64, reason string) *candidate {
	c := &candidate{weight: h.Weight * factor}
	if h.Language != "" {
		c.tongues = []string{h.Language}
	}
	what := h.Value
	switch h.Role {
	case vocabulary.HeadingTerm:
		c.meaning.Role, c.meaning.Term = record.Term, h.Value
		c.shared = g.clues.Repeatable != nil && g.clues.Repeatable(h.Value)
	case vocabulary.HeadingWeighing:
		c.meaning.Role, c.meaning.Part = record.WeighPart, h.Value
		what = "the weighing's " + h.Value
	case vocabulary.HeadingMeasurement:
		c.meaning.Role, c.meaning.Measurement = record.Measurement, h.Value
		if part := weighed[h.Value]; part != "" && it.replicates == nil {
			c.meaning.Role, c.meaning.Measurement, c.meaning.Part = record.WeighPart, "", part
			what = "the weighing's " + part
		}
	case vocabulary.HeadingLong:
		c.meaning.Role = map[string]record.Role{"name": record.NameColumn, "value": record.ValueColumn, "unit": record.UnitColumn}[h.Value]
		what = "the " + h.Value + " in a sheet with a row for each measurement"
	default:
		c.meaning.Role, c.meaning.Reason, c.shared = record.SetAside, h.Value, true
	}
	c.reasons = []string{fmt.Sprintf(reason, it.heading, what)}
	return c
}

// add keeps the candidate, or the heavier of two with the same meaning.
func (it *item) add(c *candidate) {
	for i, old := range it.candidates {
		a, b := old.meaning, c.meaning
		if a.Role == b.Role && a.Term == b.Term && a.Measurement == b.Measurement && a.Part == b.Part {
			tongues := append(slices.Clone(old.tongues), c.tongues...)
			if c.weight > old.weight {
				it.candidates[i] = c
			}
			it.candidates[i].tongues = tongues
			return
		}
	}
	it.candidates = append(it.candidates, c)
}

// preferLanguage finds the language that most headings are in and makes
// meanings of other languages less likely ("Data" is a date in Portuguese).
func (g *guesser) preferLanguage() {
	votes := map[string]float64{}
	for _, it := range g.items {
		for _, l := range []string{"en", "de", "es", "pt", "fr"} {
			if slices.ContainsFunc(it.candidates, func(c *candidate) bool { return slices.Contains(c.tongues, l) }) {
				votes[l]++
			}
		}
	}
	best := ""
	for _, l := range []string{"en", "de", "es", "pt", "fr"} {
		if votes[l] > votes[best] {
			best = l
		}
	}
	for _, it := range g.items {
		for _, c := range it.candidates {
			if len(c.tongues) > 0 && !slices.Contains(c.tongues, best) {
				c.weight *= 0.9
			}
		}
	}
}
