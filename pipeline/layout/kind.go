package layout

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// kind is what a cell looks like: a word may be a heading or a label, a value
// is a number, a date or a number with letters beside it, a mark is neither.
type kind uint8

const (
	blank kind = iota
	mark       // "-", "?", a ditto mark, "♂"
	word       // "SVL", "Tern Slough", "SVL1"
	value      // "12.5", "33 g", "3 May 2021", "MC23-044", TRUE, #DIV/0!
)

func kindOf(c *record.Cell) kind {
	switch c.Kind {
	case record.Number, record.Date, record.Bool, record.Fault:
		if c.Text != "" {
			return value
		}
	}
	return kindOfText(c.Text)
}

// enoughBytes is how far a text is looked at; what follows changes no kind.
const enoughBytes = 48

// kindOfText tells words and values apart by what comes first and by what is
// more, letters or digits.
func kindOfText(s string) kind {
	letters, digits, seen := 0, 0, false
	for i := 0; i < len(s) && i < enoughBytes; {
		r, size := rune(s[i]), 1
		if r >= utf8.RuneSelf {
			r, size = utf8.DecodeRuneInString(s[i:])
		}
		i += size
		switch {
		case 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || r >= utf8.RuneSelf && unicode.IsLetter(r):
			letters++
		case '0' <= r && r <= '9' || r >= utf8.RuneSelf && unicode.IsDigit(r):
			if letters == 0 {
				return value
			}
			digits++
		case r == ' ' || '\t' <= r && r <= '\r' || r >= utf8.RuneSelf && unicode.IsSpace(r):
		default:
			seen = true
		}
	}
	switch {
	case digits > letters:
		return value
	case letters > 0:
		return word
	case seen || len(s) > enoughBytes && strings.TrimSpace(s) != "":
		return mark
	}
	return blank
}

// fold reduces a text to lower-case letters, digits and the signs of the
// sexes and of numbers, words parted by single blanks.
func fold(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) && !strings.ContainsRune("#°%♂♀", r)
	}), " ")
}

// shape writes a text with 9 for every run of digits and a for every run of
// letters, so that "MC23-044" and "MC23-7" are alike.
func shape(s string) string {
	var b strings.Builder
	last := rune(0)
	for _, r := range strings.TrimSpace(s) {
		switch {
		case unicode.IsDigit(r):
			r = '9'
		case unicode.IsLetter(r):
			r = 'a'
		case unicode.IsSpace(r):
			r = ' '
		}
		if r != last || (r != '9' && r != 'a' && r != ' ') {
			b.WriteRune(r)
		}
		last = r
	}
	return b.String()
}
