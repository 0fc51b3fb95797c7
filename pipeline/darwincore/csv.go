package darwincore

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What a byte asks for in a field of CSV.
const (
	plain   = iota
	quoting // the field stands in quotes
	odd     // not ASCII, or NUL: the field is looked at rune by rune
)

var askedBy = func() (t [256]uint8) {
	for _, b := range []byte(",\"\r\n") {
		t[b] = quoting
	}
	t[0] = odd
	for b := utf8.RuneSelf; b < 256; b++ {
		t[b] = odd
	}
	return t
}()

// appendText appends a text as a field of CSV, in quotes where the csv package
// of the standard library would put it into quotes. What no text file may hold
// is replaced.
func appendText[T string | []byte](b []byte, text T) []byte {
	asked := uint8(0)
	for i := range len(text) {
		asked |= askedBy[text[i]]
	}
	if asked == 0 && len(text) > 0 && text[0] > ' ' && text[0] != '\\' {
		return append(b, text...)
	}
	start := len(b)
	b = append(b, text...)
	if asked&odd != 0 && !fit(b[start:]) {
		return appendText(b[:start], clean(string(text)))
	}
	if asked&quoting != 0 || leading(b[start:]) {
		return appendQuoted(b[:start], text)
	}
	return b
}

// appendQuoted appends a text in quotes.
func appendQuoted[T string | []byte](b []byte, text T) []byte {
	b = append(b, '"')
	from := 0
	for i := range len(text) {
		if text[i] == '"' {
			b = append(append(b, text[from:i+1]...), '"')
			from = i + 1
		}
	}
	return append(append(b, text[from:]...), '"')
}

// fit reports whether a text file may hold the text.
func fit(text []byte) bool { return utf8.Valid(text) && bytes.IndexByte(text, 0) < 0 }

// leading reports whether the text stands in quotes for how it begins: with
// white space, or as the end of data that a database reads.
func leading(text []byte) bool {
	first, _ := utf8.DecodeRune(text)
	return unicode.IsSpace(first) || string(text) == `\.`
}

// clean replaces what no text file may hold: bytes that are no UTF-8, and NUL.
func clean(s string) string {
	if utf8.ValidString(s) && strings.IndexByte(s, 0) < 0 {
		return s
	}
	return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", "\uFFFD")
}

// needsQuotes holds for what the csv package of the standard library puts into
// quotes.
func needsQuotes(text string) bool {
	if strings.ContainsAny(text, ",\"\r\n") || text == `\.` {
		return true
	}
	first, _ := utf8.DecodeRuneInString(text)
	return unicode.IsSpace(first)
}
