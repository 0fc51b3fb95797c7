package darwincore

import (
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record/lines"
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
	if asked&odd != 0 && !fit(string(text)) {
		return lines.AppendField(b, clean(string(text)))
	}
	return lines.AppendField(b, text)
}

// fit reports whether a text file may hold the text.
func fit(s string) bool { return utf8.ValidString(s) && strings.IndexByte(s, 0) < 0 }

// clean replaces what no text file may hold: bytes that are not UTF-8, and NUL.
func clean(s string) string {
	if fit(s) {
		return s
	}
	return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", "\uFFFD")
}
