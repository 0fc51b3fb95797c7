package lines

import (
	"unicode"
	"unicode/utf8"
)

// AppendField adds one field of a line of CSV, in quotation marks where RFC
// 4180 or a reader that drops white space asks for them: the bytes are those of
// encoding/csv.
func AppendField[T string | []byte](b []byte, field T) []byte {
	if !Quoted(field) {
		return append(b, field...)
	}
	return AppendQuoted(b, field)
}

// AppendRow adds a whole line of CSV.
func AppendRow(b []byte, fields []string) []byte {
	for i, f := range fields {
		if i > 0 {
			b = append(b, ',')
		}
		b = AppendField(b, f)
	}
	return append(b, '\n')
}

// AppendQuoted adds a field in quotation marks.
func AppendQuoted[T string | []byte](b []byte, field T) []byte {
	b = append(b, '"')
	from := 0
	for i := range len(field) {
		if field[i] == '"' {
			b = append(append(b, field[from:i+1]...), '"')
			from = i + 1
		}
	}
	return append(append(b, field[from:]...), '"')
}

// Quoted reports whether a field cannot stand bare.
func Quoted[T string | []byte](field T) bool {
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
