package vocabulary

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// recaptureRow is one row of mappings/recapture_words.csv.
type recaptureRow struct {
	Kind     string `csv:"kind"` // said or between
	Language string `csv:"language"`
	Words    Words  `csv:"words"`
}

// recaptureWords are folded, and said phrases parted into words.
type recaptureWords struct {
	said    [][]string
	between map[string]bool
}

var recaptures = sync.OnceValue(func() *recaptureWords {
	w := &recaptureWords{between: map[string]bool{}}
	for _, r := range schemas.Must(mappings.Table[recaptureRow]("recapture_words.csv")) {
		for _, phrase := range r.Words {
			if r.Kind == "between" {
				w.between[Fold(phrase)] = true
				continue
			}
			w.said = append(w.said, FoldEach(strings.Fields(phrase)))
		}
	}
	return w
})

// Recaught reads of a remark that its animal is one that was caught before, by
// its mark: "recap of H05" gives H05. The mark has a digit; a plain number counts
// only behind a word such as of, or a sign, since "recap 3" is rather the third.
func Recaught(text string) (mark string, ok bool) {
	if !strings.ContainsFunc(text, unicode.IsDigit) {
		return "", false
	}
	all := recaptures()
	words := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(",;:=()[]\"", r) })
	folded := FoldEach(words)
	for i := range folded {
		for _, phrase := range all.said {
			if begins(folded[i:], phrase) {
				if mark, ok := all.markIn(words[i+len(phrase):], folded[i+len(phrase):]); ok {
					return mark, true
				}
			}
		}
	}
	return "", false
}

func begins(words, phrase []string) bool {
	return len(words) >= len(phrase) && slices.Equal(words[:len(phrase)], phrase)
}

// markIn returns the mark at the beginning of some words, behind words that may
// are before it.
func (w *recaptureWords) markIn(words, folded []string) (string, bool) {
	led := false
	for i, word := range words {
		if w.between[folded[i]] || word == "#" {
			led = true
			continue
		}
		mark := strings.Trim(word, ".!?'#")
		led = led || strings.HasPrefix(word, "#")
		letters := strings.ContainsFunc(mark, unicode.IsLetter)
		return mark, strings.ContainsFunc(mark, unicode.IsDigit) && (letters || led)
	}
	return "", false
}

// SaysRecaught reports whether a text says that an animal was caught before, and
// nothing else.
func SaysRecaught(text string) bool {
	said := Fold(text)
	return slices.ContainsFunc(recaptures().said, func(phrase []string) bool { return said == strings.Join(phrase, "") })
}
