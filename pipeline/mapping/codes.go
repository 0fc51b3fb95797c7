package mapping

import (
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record/pattern"
	"spadefoot/pipeline/vocabulary"
)

// codePair matches one code and the word that it stands for.
var codePair = pattern.Of(`^([\p{L}\p{N}?+]{1,6})\s*[=:]\s*(\p{L}[\p{L}\p{M} .'-]*)$`)

// codesIn reads what codes stand for out of a text: "sex (1 = male; 2 = female)".
// Anything that is not a pair is passed over; one pair explains no column.
func codesIn(text string) map[string]string {
	codes := map[string]string{}
	for _, part := range codeParts(text) {
		if m := codePair().FindStringSubmatch(part); m != nil {
			codes[m[1]] = strings.TrimSpace(m[2])
		}
	}
	if len(codes) < 2 {
		return nil
	}
	return codes
}

// codeParts returns the parts of a text between the marks that part codes.
func codeParts(text string) []string {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;|/()[]\n", r) })
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

// codeAndWords matches a code in capitals and what it stands for behind a blank:
// "PL post-lactating".
var codeAndWords = pattern.Of(`^(\p{Lu}{1,4})\s+(\p{L}[\p{L}\p{M} .'-]+)$`)

// LineOfCodes returns what a line beside a table says of a column with these
// texts, in the form that a legend has: "NR = non-reproductive; PL =
// post-lactating", and the share of the different texts that it explains. It is ""
// for a line without codes, or none of which is in the column.
func LineOfCodes(line string, texts []string) (said string, explained float64) {
	codes, pairs := map[string]bool{}, []string{}
	for _, part := range codeParts(line) {
		m := codePair().FindStringSubmatch(part)
		if _, behind, ok := strings.Cut(part, ":"); m == nil && ok {
			m = codePair().FindStringSubmatch(strings.TrimSpace(behind)) // "Codes: m = male"
		}
		if m == nil {
			m = codeAndWords().FindStringSubmatch(part)
		}
		if m != nil {
			codes[m[1]] = true
			pairs = append(pairs, m[1]+" = "+m[2])
		}
	}
	different, known := map[string]bool{}, 0
	for _, text := range texts {
		if text = strings.TrimSpace(text); text == "" || quantity.Missing(text) || quantity.Sentinel(text) || different[text] {
			continue
		}
		different[text] = true
		if codes[text] {
			known++
		}
	}
	if len(codes) < 2 || known == 0 {
		return "", 0
	}
	return strings.Join(pairs, "; "), float64(known) / float64(len(different))
}

// beginsWithCode reports whether a text says what codes stand for and nothing
// before.
func beginsWithCode(text string) bool {
	first, _, _ := strings.Cut(strings.ReplaceAll(text, ",", ";"), ";")
	return codePair().MatchString(strings.TrimSpace(first))
}

// codesOf returns the published word that each code of a column stands for,
// where its heading or the legend says so and the vocabulary of the term knows
// two of the words or more.
func (g *guesser) codesOf(column int, term string) map[string]string {
	list := g.know.listOf(term)
	if list == nil {
		return nil
	}
	inLegend, _ := LineOfCodes(g.legend(column), g.profiles[column].texts) // "A adult, S subadult"
	for _, text := range []string{g.table.Columns[column].Heading, g.legend(column), inLegend} {
		codes := codesIn(text)
		for code, word := range codes {
			if value, _, _ := list.Known(word, nil); value != "" {
				codes[code] = value
			} else {
				delete(codes, code)
			}
		}
		if len(codes) > 1 {
			return codes
		}
	}
	return g.answers(column, term, list)
}

// answers returns what yes and no mean under a heading that is itself a state of an
// animal: under "Gravid" an N says that it is not gravid. It returns nil where other
// texts are no words for states.
func (g *guesser) answers(column int, term string, list *vocabulary.List) map[string]string {
	value, ok, _ := list.Known(g.readings[column].whole, nil)
	if term != "reproductiveCondition" || !ok || g.profiles[column].distinct < 2 {
		return nil
	}
	codes := map[string]string{}
	for _, t := range g.profiles[column].texts {
		switch f := vocabulary.Fold(t); {
		case slices.Contains(yesWords, f):
			codes[t] = value
		case slices.Contains(noWords, f):
			codes[t] = "not " + value
		case !knownWith(list, nil)(t):
			return nil
		}
	}
	if len(codes) == 0 {
		return nil
	}
	return codes
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
		v, _, _ := list.Known(text, codes)
		return v != ""
	}
}
