package lines

import (
	"unicode"
	"unicode/utf8"
)

// AppendField adds one field of a line of CSV, in quotation marks where RFC
// 4180 or a reader that drops white space asks for them: the bytes are those of
// encoding/csv.
func AppendField[T string | []byte](b []byte, field T) []byte {
	if Bare(field) || !Quoted(field) {
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
	if r, _ := utf8.DecodeRuneInString(string(field[:min(len(field), utf8.UTFMax)])); unicode.IsSpace(r) {
		return true
	}
	for i := range len(field) {
		if asks[field[i]]&quotes != 0 {
			return true
		}
	}
	return false
}

// Bare reports whether a field is plain ASCII that stands bare, as most are. It is
// quick: where there are four bytes, it looks at up to eight at a time, and takes a control
// character for one that asks for quotation marks.
func Bare[T string | []byte](field T) bool {
	n := len(field)
	if n < 4 {
		return asked(field)&^formula == 0 && (n == 0 || field[0] > ' ' && field[0] != '\\')
	}
	const each, high = 0x0101010101010101, 0x8080808080808080
	found := uint64(0)
	for i := 0; i < n; i += 8 {
		eight := uint64(0)
		if n < 8 {
			eight = four(field) | four(field[n-4:])<<32
		} else {
			s := field[min(i, n-8):]
			eight = uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 | uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
		}
		comma, quote := eight^each*',', eight^each*'"'
		found |= (comma-each)&^comma | (quote-each)&^quote | (eight-each*' ')&^eight | eight
	}
	return found&high == 0 && field[0] > ' ' && field[0] != '\\'
}

// four are the first four bytes as a number.
func four[T string | []byte](s T) uint64 {
	return uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24
}

// Odd reports whether a field is not ASCII, or has NUL.
func Odd[T string | []byte](field T) bool {
	return asked(field)&care != 0
}

// asked is what the bytes of a field ask for.
func asked[T string | []byte](field T) (all uint8) {
	for i := range len(field) {
		all |= asks[field[i]]
	}
	return all
}

// What a byte in a field asks for.
const (
	quotes  = 1 << iota // quotation marks around the field
	care                // a closer look: it is not plain ASCII
	formula             // in a table for spreadsheets, a closer look where it comes first
)

var asks = func() (t [256]uint8) {
	for b := range t {
		if b == 0 || b >= utf8.RuneSelf {
			t[b] = care
		}
	}
	for _, b := range []byte(",\"\r\n") {
		t[b] = quotes
	}
	for _, b := range []byte("=+-@\t\r'") {
		t[b] |= formula
	}
	return t
}()
