package withhold

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// phrase is a text as its words: runs of letters without accents in lower
// case, and runs of digits. Case, spaces and punctuation do not matter in it.
type phrase []string

// tokens cuts a text into words.
func tokens(text string) phrase {
	var w passage
	w.add(text)
	all, out := string(w.letters), make(phrase, len(w.ends))
	from := 0
	for i, end := range w.ends {
		out[i], from = all[from:end], end
	}
	return out
}

// passage is a text as its words, one behind the other, for looking through long ones.
type passage struct {
	letters []byte
	ends    []int // of the words in letters
}

// add adds the words of a text.
func (w *passage) add(text string) {
	in := 0 // what the word is of that goes on: 0 for none
	for _, r := range norm.NFD.String(text) {
		is := kindOf(r)
		if is == mark {
			continue
		}
		if in != 0 && is != in {
			w.ends = append(w.ends, len(w.letters))
		}
		switch in = is; {
		case is == 0:
		case 'A' <= r && r <= 'Z':
			w.letters = append(w.letters, byte(r)+'a'-'A')
		case r < utf8.RuneSelf:
			w.letters = append(w.letters, byte(r))
		default:
			w.letters = utf8.AppendRune(w.letters, unicode.ToLower(r))
		}
	}
	if in != 0 {
		w.ends = append(w.ends, len(w.letters))
	}
}

// at returns a word.
func (w *passage) at(i int) []byte {
	from := 0
	if i > 0 {
		from = w.ends[i-1]
	}
	return w.letters[from:w.ends[i]]
}

// drop takes the first words away.
func (w *passage) drop(n int) {
	if n <= 0 {
		return
	}
	from := w.ends[n-1]
	w.letters = append(w.letters[:0], w.letters[from:]...)
	w.ends = append(w.ends[:0], w.ends[n:]...)
	for i := range w.ends {
		w.ends[i] -= from
	}
}

// has reports whether a phrase begins at a word.
func (w *passage) has(i int, p phrase) bool {
	if len(p) == 0 || i+len(p) > len(w.ends) {
		return false
	}
	for k, word := range p {
		if string(w.at(i+k)) != word {
			return false
		}
	}
	return true
}

// What a character is in a text; 0 for anything else, which ends a word.
const (
	digit = 1 + iota
	letter
	mark // on the letter before it
)

func kindOf(r rune) int {
	switch {
	case 'a' <= r && r <= 'z', 'A' <= r && r <= 'Z':
		return letter
	case unicode.IsDigit(r):
		return digit
	case unicode.IsLetter(r):
		return letter
	case unicode.IsMark(r):
		return mark
	}
	return 0
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
