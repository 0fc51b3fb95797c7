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
// of the standard library would put it into quotes.
func appendText[T string | []byte](b []byte, text T) []byte {
	asked := uint8(0)
	for i := range len(text) {
		asked |= askedBy[text[i]]
	}
	switch {
	case asked&odd != 0:
		s := clean(string(text))
		if needsQuotes(s) {
			return appendQuoted(b, []byte(s))
		}
		return append(b, s...)
	case asked == 0 && len(text) > 0 && text[0] > ' ' && text[0] != '\\':
		return append(b, text...)
	case asked == 0 && !needsQuotes(string(text)):
		return append(b, text...)
	}
	return appendQuoted(b, []byte(text))
}

// appendQuoted appends a text in quotes.
func appendQuoted(b, text []byte) []byte {
	b = append(b, '"')
	for {
		at := bytes.IndexByte(text, '"')
		if at < 0 {
			return append(append(b, text...), '"')
		}
		b = append(append(b, text[:at+1]...), '"')
		text = text[at+1:]
	}
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
