package mapping

import (
	"strings"

	"spadefoot/mappings"
	"spadefoot/pipeline/vocabulary"
)

// part is a part of an animal or of its surroundings in one language, and what is
// measured of it.
type part struct {
	language     string
	measurements map[string]string // by length, width, height and temperature
}

// readParts reads mappings/parts.csv.
func (k *knowledge) readParts() error {
	rows, err := mappings.Table[struct {
		Language string           `csv:"language"`
		Words    vocabulary.Words `csv:"words"`
		Length   string           `csv:"length"`
		Width    string           `csv:"width"`
		Height   string           `csv:"height"`
		Warmth   string           `csv:"temperature"`
	}]("parts.csv")
	k.parts = map[string][]part{}
	for _, row := range rows {
		for _, w := range row.Words {
			f := vocabulary.Fold(w)
			k.parts[f] = append(k.parts[f], part{row.Language, map[string]string{"length": row.Length, "width": row.Width, "height": row.Height, "temperature": row.Warmth}})
		}
	}
	return err
}

// composed adds the measurement of a heading that is put together from a part and
// what is measured of it, in any order and in one language: "Anch.
// cuerpo", "H_cabeza", "Schwanzhöhe".
func (g *guesser) composed(it *item) {
	r := g.readings[it.columns[0]]
	if r.number >= 0 {
		return // of the first of several eggs, or the second time
	}
	words := g.know.without(r.words, sideWord, fillerWord)
	for _, split := range splits(words) {
		for _, p := range g.know.parts[split[0]] {
			extent := g.know.extents[p.language][split[1]]
			name := p.measurements[extent]
			if name == "" {
				continue
			}
			h := vocabulary.Heading{Heading: it.heading, Role: vocabulary.HeadingMeasurement, Value: name, Language: p.language, Weight: composedWeight}
			it.add(g.candidate(it, h, 1, "the heading %q puts together what means %s"))
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
