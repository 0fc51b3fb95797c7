package record

import (
	"strconv"
	"unicode"
	"unicode/utf8"
)

// Plural is a number with what is counted: 1 row, 2 rows.
func Plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.Itoa(n) + " " + word + "s"
}

// Capital writes the first letter large, as at the beginning of a sentence.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
