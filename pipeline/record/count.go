package record

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Enumerated joins words: "a, b and c".
func Enumerated(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// Plural is a count with its noun: 1 row, 2 rows.
func Plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.Itoa(n) + " " + word + "s"
}

// Joined puts a separator between the texts that are not empty.
func Joined(separator string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(text string) bool { return text == "" }), separator)
}

// Capital capitalises the first letter, as at the beginning of a sentence. A
// single letter is a symbol and stays: g is a unit, G is not. The article is
// the exception.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if word, _, more := strings.Cut(s, " "); n == 0 || more && len(word) == n && r != 'a' {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
