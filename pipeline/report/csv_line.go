package report

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// appendField adds one field of a line of CSV, in quotation marks where RFC
// 4180 or a reader that drops white space asks for them: the bytes are those of
// encoding/csv.
func appendField(b []byte, field string) []byte {
	if !quoted(field) {
		return append(b, field...)
	}
	b = append(b, '"')
	for {
		i := strings.IndexByte(field, '"')
		if i < 0 {
			break
		}
		b = append(append(b, field[:i]...), '"', '"')
		field = field[i+1:]
	}
	return append(append(b, field...), '"')
}

// quoted reports whether a field cannot stand bare.
func quoted(field string) bool {
	if field == "" {
		return false
	}
	if field == `\.` { // the end of the data for some readers
		return true
	}
	if field[0] < utf8.RuneSelf {
		if c := field[0]; c == ' ' || c >= '\t' && c <= '\r' {
			return true
		}
	} else if r, _ := utf8.DecodeRuneInString(field); unicode.IsSpace(r) {
		return true
	}
	for i := range len(field) {
		if special[field[i]] {
			return true
		}
	}
	return false
}

// special are the bytes that have a meaning in CSV.
var special = [256]bool{',': true, '"': true, '\n': true, '\r': true}
