package screen

import (
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// written is a number as it stands in a cell: its digits, and the factor that
// takes it to the reading's own unit.
type written struct {
	text   string // digits with at most one separator
	value  float64
	comma  bool
	factor float64
	unit   string // UCUM code that it was written in
}

// plainNumber finds the first number of a text: digits with at most one
// separator within or before them.
func plainNumber(text string) string {
	digit := func(i int) bool { return i < len(text) && text[i] >= '0' && text[i] <= '9' }
	mark := func(i int) bool { return i < len(text) && (text[i] == '.' || text[i] == ',') }
	for from := range len(text) {
		to := from
		for digit(to) {
			to++
		}
		if mark(to) && digit(to+1) {
			for to++; digit(to); {
				to++
			}
		}
		if to > from {
			return text[from:to]
		}
	}
	return ""
}

// writtenOf finds the number that a person wrote for a reading. Where the text
// does not show it plainly, the published number stands in.
func writtenOf(r *record.Reading) written {
	w := written{text: plainNumber(r.Verbatim), unit: r.WrittenUnit}
	w.comma = r.Comma || strings.Contains(w.text, ",")
	v := parseWritten(w.text)
	if w.unit == "" {
		w.unit = r.Unit
	}
	rounding := math.Pow10(-r.Decimals)
	if v > 0 {
		w.value, w.factor = v, 1
		if w.unit != r.Unit {
			w.factor = r.Number / v
		}
		if math.Abs(v*w.factor-r.Number) <= rounding {
			return w
		}
	}
	w = written{text: r.Text, value: r.Number, factor: 1, unit: r.Unit, comma: r.Comma}
	if w.text == "" {
		w.text = strconv.FormatFloat(r.Number, 'f', max(r.Decimals, 0), 64)
	}
	return w
}

// decimals is the number of digits after the separator.
func (w written) decimals() int {
	if i := strings.IndexAny(w.text, ".,"); i >= 0 {
		return len(w.text) - i - 1
	}
	return 0
}

// as writes a value in the hand of w, with its separator and its unit.
func (w written) as(value float64, decimals int) string {
	s := strconv.FormatFloat(value, 'f', max(decimals, 0), 64)
	if w.comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s + " " + unitName(w.unit)
}

// transposed returns every text that has two neighbouring digits exchanged, a
// separator between them being no hindrance.
func transposed(text string) []string {
	var out []string
	at := digitPlaces(text)
	for i := 1; i < len(at); i++ {
		a, b := at[i-1], at[i]
		if text[a] == text[b] {
			continue
		}
		s := []byte(text)
		s[a], s[b] = s[b], s[a]
		if plausible(string(s)) {
			out = append(out, string(s))
		}
	}
	return out
}

// alike are the digits that a hand makes alike (common practice).
var alike = map[byte]string{
	'0': "68", '1': "74", '2': "7", '3': "58", '4': "19", '5': "36",
	'6': "058", '7': "129", '8': "036", '9': "47",
}

// misread returns every text that has one digit taken for one that looks alike.
func misread(text string) []string {
	var out []string
	for _, i := range digitPlaces(text) {
		for _, d := range []byte(alike[text[i]]) {
			s := []byte(text)
			s[i] = d
			if plausible(string(s)) {
				out = append(out, string(s))
			}
		}
	}
	return out
}

// oneOff returns every text that has one digit, but not the last, one larger or
// smaller.
func oneOff(text string) []string {
	var out []string
	at := digitPlaces(text)
	for _, i := range at[:max(len(at)-1, 0)] {
		for _, d := range [...]byte{text[i] - 1, text[i] + 1} {
			s := []byte(text)
			s[i] = d
			if d >= '0' && d <= '9' && plausible(string(s)) {
				out = append(out, string(s))
			}
		}
	}
	return out
}

// undoubled returns every text that has one of two equal neighbouring digits
// taken out.
func undoubled(text string) []string {
	var out []string
	at := digitPlaces(text)
	for i := 1; i < len(at); i++ {
		if text[at[i]] != text[at[i-1]] || i > 1 && text[at[i-1]] == text[at[i-2]] {
			continue
		}
		if s := text[:at[i]] + text[at[i]+1:]; plausible(s) && s[len(s)-1] >= '0' {
			out = append(out, s)
		}
	}
	return out
}

// completed returns every text that has one digit more before the separator.
func completed(text string) []string {
	whole := strings.IndexAny(text, ".,")
	if whole < 0 {
		whole = len(text)
	}
	n := len(text) + 1
	all := make([]byte, 0, 10*n*(whole+1))
	for i := range whole + 1 {
		for d := byte('0'); d <= '9'; d++ {
			if i == 0 || text[i-1] != d { // else it is the same as before that digit
				all = append(append(append(all, text[:i]...), d), text[i:]...)
			}
		}
	}
	out := make([]string, 0, len(all)/n)
	for rest := string(all); rest != ""; rest = rest[n:] {
		if plausible(rest[:n]) {
			out = append(out, rest[:n])
		}
	}
	return out
}

func digitPlaces(text string) []int {
	var at []int
	for i := range len(text) {
		if text[i] >= '0' && text[i] <= '9' {
			at = append(at, i)
		}
	}
	return at
}

// plausible reports whether a person would write the number so: no needless
// zero in front.
func plausible(text string) bool {
	return len(text) < 2 || text[0] != '0' || text[1] == '.' || text[1] == ','
}

// parseWritten returns a number with a point or a comma, NaN where it is none. Of
// up to fifteen digits and their power of ten both are exact, and the quotient is
// rounded once, as strconv does it (Clinger 1990).
func parseWritten(text string) float64 {
	digits, decimals, n := uint64(0), -1, 0
	for i := range len(text) {
		switch d := text[i] - '0'; {
		case d <= 9:
			digits, n = 10*digits+uint64(d), n+1
			if decimals >= 0 {
				decimals++
			}
		case (text[i] == '.' || text[i] == ',') && decimals < 0:
			decimals = 0
		default:
			n = maxExact + 1
		}
	}
	if 0 < n && n <= maxExact {
		return float64(digits) / tens[max(decimals, 0)]
	}
	return parseAny(text)
}

const maxExact = 15 // digits

// tens are powers of ten, exact.
var tens = [maxExact + 1]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

func parseAny(text string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return nan
	}
	return v
}
