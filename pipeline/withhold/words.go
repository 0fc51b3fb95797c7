package withhold

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// phrase is a text as its words: runs of letters without accents in lower
// case, and runs of digits. Case, spaces and punctuation do not matter in it.
type phrase []string

// tokens cuts a text into words.
func tokens(text string) phrase {
	var out phrase
	var b strings.Builder
	digit := false
	end := func() {
		if b.Len() > 0 {
			out = append(out, b.String())
			b.Reset()
		}
	}
	for _, r := range norm.NFD.String(text) {
		switch {
		case unicode.IsDigit(r):
			if !digit {
				end()
			}
			digit = true
			b.WriteRune(r)
		case unicode.IsLetter(r):
			if digit {
				end()
			}
			digit = false
			b.WriteRune(unicode.ToLower(r))
		case unicode.IsMark(r):
		default:
			end()
		}
	}
	end()
	return out
}

func (p phrase) String() string { return strings.Join(p, " ") }

// letters and digits count what a phrase is made of.
func (p phrase) count() (letters, digits int) {
	for _, w := range p {
		for _, r := range w {
			if unicode.IsDigit(r) {
				digits++
			} else {
				letters++
			}
		}
	}
	return letters, digits
}

// at reports whether the phrase begins at a word of a text.
func (p phrase) at(text phrase, i int) bool {
	return len(p) > 0 && i+len(p) <= len(text) && slices.Equal(p, text[i:i+len(p)])
}

// contains reports whether one of the phrases is in a text.
func contains(text phrase, phrases []phrase) bool {
	for i := range text {
		for _, p := range phrases {
			if p.at(text, i) {
				return true
			}
		}
	}
	return false
}
