package mapping

import (
	"strings"

	"spadefoot/mappings"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/vocabulary"
	"spadefoot/schemas"
)

// part is a part of an animal or of its surroundings in one language, and what is
// measured of it.
type part struct {
	line         int // of the table, from 1
	language     string
	measurements map[string]string // by length, width, height and temperature
}

// readParts reads mappings/parts.csv.
func (k *knowledge) readParts() {
	k.parts = map[string][]part{}
	for i, row := range schemas.Must(mappings.Table[struct {
		Language string           `csv:"language"`
		Words    vocabulary.Words `csv:"words"`
		Length   string           `csv:"length"`
		Width    string           `csv:"width"`
		Height   string           `csv:"height"`
		Warmth   string           `csv:"temperature"`
	}]("parts.csv")) {
		for _, w := range row.Words {
			f := vocabulary.Fold(w)
			if len(k.parts[f]) == 0 {
				k.partNames = append(k.partNames, f)
			}
			k.parts[f] = append(k.parts[f], part{i + 1, row.Language, map[string]string{"length": row.Length, "width": row.Width, "height": row.Height, "temperature": row.Warmth}})
		}
	}
}

// composed adds the measurement of a heading that is put together from a part and
// what is measured of it, in any order and in one language: "Anch.
// cuerpo", "H_cabeza", "Schwanzhöhe".
func (g *guesser) composed(it *item) {
	r := g.readings[it.columns[0]]
	if r.number >= 0 {
		return // of the first of several eggs, or the second time
	}
	words := g.know.without(r.words, sideWord)
	found := g.know.compose(words)
	if len(found) == 0 {
		found = g.know.compose(g.know.without(words, fillerWord)) // the body is a part, and a filler
	}
	for _, h := range found {
		h.Heading = it.heading
		it.add(g.candidate(it, h, 1, "the heading %q puts together what means %s"))
	}
}

// compose returns the measurements that words put together from a part and what is
// measured of it may mean, one for each language.
func (k *knowledge) compose(words []string) (out []vocabulary.Heading) {
	for _, split := range splits(words) {
		for _, p := range k.partsCalled(split[0]) {
			if name := p.measurements[k.extents[p.language][split[1]]]; name != "" {
				out = append(out, vocabulary.Heading{Role: vocabulary.HeadingMeasurement, Value: name, Language: p.language, Weight: composedWeight})
			}
		}
	}
	return out
}

// partsCalled returns the parts that a word names, or begins to name if it is long enough
// and begins no other part of the same language: carap, piastr.
func (k *knowledge) partsCalled(word string) []part {
	if known := k.parts[word]; len(known) > 0 || len(word) < shortestCut {
		return known
	}
	var begun []part
	line := map[string]int{} // by language
	for _, name := range k.partNames {
		if !strings.HasPrefix(name, word) {
			continue
		}
		for _, p := range k.parts[name] {
			switch line[p.language] {
			case 0:
				line[p.language] = p.line
				begun = append(begun, p)
			case p.line:
			default:
				return nil
			}
		}
	}
	return begun
}

// shortestCut is how many letters of a part must stand.
const shortestCut = 5

// initialled adds the measurements that the trade has letters for, where the last of
// them is written as a word for an extent: hwid is HW, hd_len is HDL.
func (g *guesser) initialled(it *item) {
	r := g.readings[it.columns[0]]
	if r.number >= 0 {
		return
	}
	word := strings.Join(g.know.without(r.words, sideWord, fillerWord), "")
	for at := 1; at < min(longestLetters, len(word)-1); at++ {
		letters, extent := word[:at], word[at:]
		size := g.know.extents["en"][extent]
		if size == "" || len(extent) == 2 && len(r.words) < 2 {
			continue
		}
		last := extent[:1]
		if size == "width" {
			last = "w"
		}
		for _, h := range g.know.headings[letters+last] {
			if h.Language == "" && h.Role == vocabulary.HeadingMeasurement && quantity.Dimension(g.know.measurements[h.Value].Unit) == "length" {
				it.add(g.candidate(it, h, composedWeight, "the heading %q is short for what means %s"))
			}
		}
	}
}

// lettered adds the length or the mass that one letter with its unit stands for: "L (cm)",
// "G (g)" for Gewicht.
func (g *guesser) lettered(it *item) {
	for _, of := range []struct{ dimension, letters, name string }{{"length", "l", "length"}, {"mass", "gmpvw", "mass"}} {
		if r := g.readings[it.columns[0]]; len(r.words) == 1 && len(r.words[0]) == 1 && r.number < 0 && quantity.Dimension(it.unit) == of.dimension && strings.Contains(of.letters, r.words[0]) {
			g.exact(it, of.name, composedWeight)
		}
	}
}

// composedWeight is what a heading weighs that is put together from known words.
const composedWeight = 0.9

// splits returns the ways to take words for a part and an extent: one word for
// the extent first or last, or one word of both.
func splits(words []string) (ways [][2]string) {
	n := len(words)
	switch {
	case n > 1:
		ways = append(ways, [2]string{strings.Join(words[1:], ""), words[0]}, [2]string{strings.Join(words[:n-1], ""), words[n-1]})
	case n == 1:
		if len(words[0]) > 4 {
			ways = append(ways, [2]string{words[0][1:], words[0][:1]}) // ltail
		}
		for at := 2; at <= len(words[0])-2; at++ {
			ways = append(ways, [2]string{words[0][:at], words[0][at:]}, [2]string{words[0][at:], words[0][:at]})
		}
	}
	return ways
}
