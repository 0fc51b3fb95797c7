package darwincore

import (
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record/lines"
)

// appendText appends a text as a field of CSV, in quotes where the csv package
// of the standard library would put it into quotes. What no text file may hold
// is replaced.
func appendText[T string | []byte](b []byte, text T) []byte {
	switch {
	case lines.Bare(text):
		return append(b, text...)
	case lines.Odd(text) && !fit(string(text)):
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
