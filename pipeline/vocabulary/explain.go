package vocabulary

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// Explanation is what a remark says of measurements: why they are smaller than
// expected for the animal, or larger.
type Explanation struct {
	Measurements []string
	Larger       bool
	Most         float64 // by what factor at most; 0 where any is explained
}

// maxByState is how much heavier or lighter an animal may be by its state, or larger
// a swollen part (common practice).
const maxByState = 2

// sentenceEnd is a stop before another sentence; one behind an abbreviation ends
// nothing.
var sentenceEnd = regexp.MustCompile(`\.\s+(\p{Lu})`)

// remarkRow is one row of mappings/remark_words.csv.
type remarkRow struct {
	Kind         string `csv:"kind"`
	Language     string `csv:"language"`
	Words        Words  `csv:"words"`
	Measurements Words  `csv:"measurements"`
}

// remarkPhrase is a phrase of the table, as folded words.
type remarkPhrase struct {
	kind         string
	words        []string
	measurements []string
}

var remarkPhrases = sync.OnceValue(func() (all []remarkPhrase) {
	for _, r := range schemas.Must(mappings.Table[remarkRow]("remark_words.csv")) {
		for _, phrase := range r.Words {
			all = append(all, remarkPhrase{r.Kind, foldedWords(phrase), r.Measurements})
		}
	}
	return all
})

func foldedWords(text string) []string {
	return FoldEach(strings.FieldsFunc(text, func(r rune) bool { return !bare(r) && r != '\'' && !unicode.Is(unicode.Mn, r) }))
}

// Explanations reads a remark for what explains measurements: a part of the body with
// a word for damage, regrowth or swelling in one clause ("cut tail", "toe missing"),
// or a state of the animal ("gravid"). A clause that names no part speaks of the
// measurement own, that the remark is beside; "" of a remark on the animal.
func Explanations(text, own string) (all []Explanation) {
	if text == "" {
		return nil
	}
	for clause := range strings.FieldsFuncSeq(sentenceEnd.ReplaceAllString(text, ";$1"), func(r rune) bool { return strings.ContainsRune(",;:/|()[]\n", r) }) {
		all = append(all, explain(foldedWords(clause), remarkPhrases(), own)...)
	}
	return all
}

// explain reads one clause.
func explain(words []string, phrases []remarkPhrase, own string) (all []Explanation) {
	words = parted(words, phrases)
	var named []string
	smaller, larger := false, false
	for i := range words {
		for _, p := range phrases {
			if !begins(words[i:], p.words) {
				continue
			}
			switch after := words[i+len(p.words):]; {
			case p.kind == "part":
				named = append(named, p.measurements...)
			case p.kind == "without":
				smaller = smaller || startsWith(after, "part", phrases)
			case takenBack(words[:i], phrases):
			case p.kind == "damaged" || p.kind == "regrown":
				smaller = true
			case p.kind == "swollen":
				larger = true
			case p.kind == "heavy" || p.kind == "light":
				all = append(all, Explanation{p.measurements, p.kind == "heavy", maxByState})
			}
		}
	}
	if len(named) == 0 && own != "" {
		named = []string{own}
	}
	if smaller && len(named) > 0 {
		all = append(all, Explanation{Measurements: named})
	}
	if larger && len(named) > 0 {
		all = append(all, Explanation{named, true, maxByState})
	}
	return all
}

func startsWith(words []string, kind string, phrases []remarkPhrase) bool {
	return slices.ContainsFunc(phrases, func(p remarkPhrase) bool { return p.kind == kind && begins(words, p.words) })
}

// takenBack reports whether one of the two words before takes a word back.
func takenBack(before []string, phrases []remarkPhrase) bool {
	for i := max(0, len(before)-2); i < len(before); i++ {
		if startsWith(before[i:i+1], "not", phrases) {
			return true
		}
	}
	return false
}

// Denies reports whether a word of a text takes what others say back: "not gravid".
func Denies(text string) bool {
	words := foldedWords(text)
	if len(words) < 2 {
		return false
	}
	for i := range words {
		if startsWith(words[i:], "not", remarkPhrases()) {
			return true
		}
	}
	return false
}

// parted takes words apart that are two of the table without a space between them
// (cuttail), and those of a script that has no spaces.
func parted(words []string, phrases []remarkPhrase) (out []string) {
	for _, w := range words {
		if first, rest, ok := twoWords(w, phrases); ok {
			out = append(out, first, rest)
		} else if strings.ContainsFunc(w, func(r rune) bool { return unicode.Is(unicode.Han, r) }) {
			out = append(out, hanWords(w, phrases)...)
		} else {
			out = append(out, w)
		}
	}
	return out
}

// twoWords takes a word apart into a part and what is said of it, in either order.
func twoWords(w string, phrases []remarkPhrase) (first, rest string, ok bool) {
	for _, p := range phrases {
		if len(p.words) != 1 || len(p.words[0]) < 3 || len(p.words[0]) >= len(w) || !strings.HasPrefix(w, p.words[0]) {
			continue
		}
		first, rest = p.words[0], w[len(p.words[0]):]
		for _, q := range phrases {
			if len(q.words) == 1 && q.words[0] == rest && len(rest) >= 3 && (p.kind == "part") != (q.kind == "part") {
				return first, rest, true
			}
		}
	}
	return "", "", false
}

// hanWords lists the words of the table in a text without spaces, the longest at
// each place.
func hanWords(text string, phrases []remarkPhrase) (out []string) {
	for text != "" {
		longest := ""
		for _, p := range phrases {
			if len(p.words) == 1 && len(p.words[0]) > len(longest) && strings.HasPrefix(text, p.words[0]) {
				longest = p.words[0]
			}
		}
		if longest == "" {
			_, size := utf8.DecodeRuneInString(text)
			text = text[size:]
			continue
		}
		out = append(out, longest)
		text = text[len(longest):]
	}
	return out
}
