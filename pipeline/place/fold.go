package place

import (
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// plainLetter takes the accent off a letter: é is e. A letter that is no
// accented form of another stays.
func plainLetter(r rune) rune {
	if r < 0x80 {
		return r
	}
	for _, d := range norm.NFD.String(string(r)) {
		return d
	}
	return r
}

// foldWord is the lower-case form of a word, accents kept, because ö and o
// mean different things in a compass letter.
func foldWord(s string) string {
	out := make([]rune, 0, len(s))
	for _, r := range norm.NFC.String(s) {
		out = append(out, unicode.ToLower(r))
	}
	return string(out)
}
