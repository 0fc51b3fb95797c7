package quality

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"spadefoot/schemas"
)

// vocabulary is a list of values and the writings by which each is known.
type vocabulary struct {
	values   map[string]bool
	writings map[string]string // folded writing to value; "" where two values share it
	order    []string
	words    map[string][]string // value to its words, lower case
}

type valueRow struct {
	Vocabulary string `csv:"vocabulary"`
	Value      string `csv:"value"`
	Also       string `csv:"also"`
}

// vocabularies loads schemas/quality_vocabularies.csv, by term.
var vocabularies = sync.OnceValue(func() map[string]*vocabulary {
	all := map[string]*vocabulary{}
	for _, row := range schemas.Must(schemas.Table[valueRow]("quality_vocabularies.csv")) {
		v := all[row.Vocabulary]
		if v == nil {
			v = &vocabulary{values: map[string]bool{}, writings: map[string]string{}, words: map[string][]string{}}
			all[row.Vocabulary] = v
		}
		v.values[row.Value] = true
		v.order = append(v.order, row.Value)
		v.words[row.Value] = cutWords(row.Value)
		for _, writing := range append(strings.Split(row.Also, "|"), row.Value) {
			v.know(fold(writing), row.Value)
		}
	}
	return all
})

func (v *vocabulary) know(writing, value string) {
	if writing == "" {
		return
	}
	if other, ok := v.writings[writing]; ok && other != value {
		value = ""
	}
	v.writings[writing] = value
}

func (v *vocabulary) holds(text string) bool { return v.values[text] }

// meaning returns the one value that a text can mean, or "". It tries, in this order,
// and stops at the first way that finds any value: the value or another writing
// of it, case and punctuation aside; words cut short ("Preserved spec."); one
// whole word of a value of several words ("Stowaway"); vowels left out
// ("evnt"). A way that finds two values means that the text is ambiguous.
func (v *vocabulary) meaning(text string) string {
	text = localName(trim(text))
	if value, known := v.writings[fold(text)]; known {
		return value
	}
	given := cutWords(text)
	if len(given) == 0 {
		return ""
	}
	for _, way := range []func(given, value []string) bool{cutShort, oneWord, vowelless} {
		found := ""
		for _, candidate := range v.order {
			if !way(given, v.words[candidate]) {
				continue
			}
			if found != "" {
				return ""
			}
			found = candidate
		}
		if found != "" {
			return found
		}
	}
	return ""
}

// cutShort: as many words, each the beginning of its fellow, three letters or
// more.
func cutShort(given, value []string) bool {
	if len(given) != len(value) {
		return false
	}
	for i, word := range given {
		if len(word) < 3 || !strings.HasPrefix(value[i], word) {
			return false
		}
	}
	return true
}

func oneWord(given, value []string) bool {
	return len(given) == 1 && len(value) > 1 && len(given[0]) >= 4 && slices.Contains(value, given[0])
}

// vowelless: one word that is the value with some vowels dropped, the first
// letter kept.
func vowelless(given, value []string) bool {
	a, b := strings.Join(given, ""), strings.Join(value, "")
	if len(a) < 4 || len(a) >= len(b) || a[0] != b[0] {
		return false
	}
	i := 0
	for j := 0; j < len(b); j++ {
		if i < len(a) && a[i] == b[j] {
			i++
		} else if !strings.ContainsRune("aeiou", rune(b[j])) {
			return false
		}
	}
	return i == len(a)
}

// localName returns what follows the last slash or hash of an IRI, or the prefix
// of a compact one.
func localName(text string) string {
	if strings.HasPrefix(text, "http://") || strings.HasPrefix(text, "https://") {
		if i := strings.LastIndexAny(strings.TrimRight(text, "/#"), "/#"); i >= 0 {
			local := strings.TrimRight(text, "/#")[i+1:]
			if len(local) > 4 { // identifiers such as p001 are known by the whole IRI
				return local
			}
		}
	}
	for _, prefix := range []string{"dwc:", "dcmitype:", "dctype:"} {
		if local, ok := strings.CutPrefix(text, prefix); ok {
			return local
		}
	}
	return text
}

// fold brings writings together that differ in case, spaces and punctuation.
func fold(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), r == '♀', r == '♂', r == '⚥':
			return unicode.ToLower(r)
		}
		return -1
	}, text)
}

// cutWords cuts at white space, punctuation and capitals inside a word
// ("PreservedSpecimen"), and returns the words in lower case.
func cutWords(text string) []string {
	var words []string
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			words = append(words, strings.ToLower(b.String()))
			b.Reset()
		}
	}
	previous := ' '
	for _, r := range text {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			flush()
		} else {
			if unicode.IsUpper(r) && unicode.IsLower(previous) {
				flush()
			}
			b.WriteRune(r)
		}
		previous = r
	}
	flush()
	return words
}
