package report

import (
	"unicode"
	"unicode/utf8"
)

// appendField adds one field of a line of CSV, in quotation marks where RFC
// 4180 or a reader that drops white space asks for them: the bytes are those of
// encoding/csv.
func appendField[T string | []byte](b []byte, field T) []byte {
	if !quoted(field) {
		return append(b, field...)
	}
	b = append(b, '"')
	for i := range len(field) {
		if field[i] == '"' {
			b = append(b, '"')
		}
		b = append(b, field[i])
	}
	return append(b, '"')
}

// quoted reports whether a field cannot stand bare.
func quoted[T string | []byte](field T) bool {
	if len(field) == 0 {
		return false
	}
	if len(field) == 2 && field[0] == '\\' && field[1] == '.' { // the end of the data for some readers
		return true
	}
	if c := field[0]; c == ' ' || c >= '\t' && c <= '\r' {
		return true
	} else if c >= utf8.RuneSelf {
		if r, _ := utf8.DecodeRuneInString(string(field[:min(len(field), utf8.UTFMax)])); unicode.IsSpace(r) {
			return true
		}
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
