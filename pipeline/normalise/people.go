package normalise

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"spadefoot/mappings"
)

// ofPeople reports whether a term names people.
func ofPeople(term string) bool {
	switch term {
	case "recordedBy", "identifiedBy", "georeferencedBy", "measurementDeterminedBy":
		return true
	}
	return false
}

// peopleWords returns the kind of each word of mappings/people_words.csv.
var peopleWords = sync.OnceValue(func() map[string]string {
	rows, err := mappings.Table[struct {
		Word string `csv:"word"`
		Kind string `csv:"kind"`
	}]("people_words.csv")
	out := map[string]string{}
	if err != nil {
		return out // embedded; a test reads it whole
	}
	for _, r := range rows {
		out[r.Word] = r.Kind
	}
	return out
})

// people parts the names of several people by " | ", as Darwin Core recommends
// for lists. A text that may be one name ("Varga, Ines"), or the name of a body
// ("Fish and Wildlife Service"), is left as it is.
func people(text string) string {
	if !strings.ContainsAny(text, ",;&/+ ") {
		return text
	}
	names := peopleIn(text)
	if len(names) < 2 {
		return text
	}
	for _, name := range names {
		if !isName(name) {
			return text
		}
	}
	return strings.Join(names, betweenTexts)
}

// peopleIn cuts a text at what parts people for certain, and at commas where
// every piece is a name by itself.
func peopleIn(text string) []string {
	var names []string
	for _, piece := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(";&/+|", r) }) {
		names = append(names, betweenWords(piece)...)
	}
	var out []string
	for _, name := range names {
		parts := strings.Split(name, ",")
		for _, p := range parts {
			if !standsAlone(p) {
				parts = []string{name}
				break
			}
		}
		for _, p := range parts {
			if p = strings.TrimSpace(p); p != "" {
				out = append(out, p)
			}
		}
	}
	return out
}

// betweenWords cuts at words such as "and".
func betweenWords(text string) []string {
	var names, words []string
	for _, w := range strings.Fields(text) {
		if peopleWords()[w] == "between" && len(words) > 0 {
			names, words = append(names, strings.Join(words, " ")), nil
			continue
		}
		words = append(words, w)
	}
	return append(names, strings.TrimSpace(strings.Join(words, " ")))
}

// standsAlone reports whether a piece between commas names a person by itself:
// two words or more, of which one is written out, or initials run together.
func standsAlone(piece string) bool {
	words := strings.Fields(piece)
	if len(words) == 1 {
		return utf8.RuneCountInString(words[0]) <= 3 && strings.ToUpper(words[0]) == words[0] && !strings.Contains(words[0], ".")
	}
	for _, w := range words {
		if utf8.RuneCountInString(strings.Trim(w, ".")) > 2 {
			return len(words) > 1
		}
	}
	return false
}

// isName reports whether a text has the form of a person's name: capitals or
// initials, small words only where names have them, and no word of a body.
func isName(text string) bool {
	words := strings.Fields(text)
	if len(words) == 0 || len(words) > 5 {
		return false
	}
	for _, w := range words {
		bare := strings.ToLower(strings.Trim(w, ".,"))
		first, _ := utf8.DecodeRuneInString(w)
		switch kind := peopleWords()[bare]; {
		case kind == "body":
			return false
		case kind == "particle", unicode.IsUpper(first):
		case len(words) == 1 && unicode.IsLower(first) && utf8.RuneCountInString(w) <= 4: // initials in small letters
		default:
			return false
		}
	}
	return true
}
