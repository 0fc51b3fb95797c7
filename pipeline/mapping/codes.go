package mapping

import (
	"regexp"
	"strings"

	"spadefoot/pipeline/vocabulary"
)

// codePair matches one code and the word that it stands for.
var codePair = regexp.MustCompile(`^([\p{L}\p{N}?+]{1,6})\s*[=:]\s*(\p{L}[\p{L}\p{M} .'-]*)$`)

// codesIn reads what codes stand for out of a text: "sex (1 = male; 2 = female)".
// Anything that is no pair is passed over; one pair explains no column.
func codesIn(text string) map[string]string {
	codes := map[string]string{}
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;|/()[]\n", r) }) {
		if m := codePair.FindStringSubmatch(strings.TrimSpace(part)); m != nil {
			codes[m[1]] = strings.TrimSpace(m[2])
		}
	}
	if len(codes) < 2 {
		return nil
	}
	return codes
}

// codesOf returns the published word that each code of a column stands for,
// where its heading or the legend says so and the vocabulary of the term knows
// two of the words or more.
func (g *guesser) codesOf(column int, term string) map[string]string {
	list := g.know.lists[g.know.values[term].List]
	if list == nil {
		return nil
	}
	for _, text := range []string{g.table.Columns[column].Heading, g.legend(column)} {
		codes := codesIn(text)
		for code, word := range codes {
			if value, ok, _ := list.Known(word, nil); ok && value != "" {
				codes[code] = value
			} else {
				delete(codes, code)
			}
		}
		if len(codes) > 1 {
			return codes
		}
	}
	return nil
}

// legend is what the legend of the workbook says of a column.
func (g *guesser) legend(column int) string {
	if g.clues.Legend == nil {
		return ""
	}
	return g.clues.Legend(g.table.Columns[column].Heading)
}

// knownWith reports whether a text is a word of the list or a code for one.
func knownWith(list *vocabulary.List, codes map[string]string) func(string) bool {
	return func(text string) bool {
		v, ok, _ := list.Known(text, codes)
		return ok && v != ""
	}
}
