package sheet

import (
	"math"
	"strconv"
	"strings"
)

// significant is how many digits of a number spreadsheet programs keep and
// show (common practice: 15). What lies beyond is the dust of binary
// arithmetic.
const significant = 15

// plainNumber writes a stored number as the shortest decimal that has the same
// 15 significant digits: 0.30000000000000004 is 0.3. Numbers of more than 21
// digits before the point or six zeros behind it keep a power of ten.
func plainNumber(v float64) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if len(s) > significant {
		v = dustless(v)
		s = strconv.FormatFloat(v, 'f', -1, 64)
	}
	if a := math.Abs(v); a != 0 && (a >= 1e21 || a < 1e-6) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// dustless rounds to 15 significant digits.
func dustless(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', significant-1, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// digitsLost reports whether a number is so large that its last digits were
// not kept.
func digitsLost(v float64) bool { return math.Abs(v) >= 1e15 && !math.IsInf(v, 0) }

// text writes a stored number as its format shows it, as far as that loses and
// adds no digit but zeros: the zeros that the format asks for, a percent sign,
// a unit behind the number. Grouping of thousands is left out, since a comma
// could be read as a decimal one.
func (f numberFormat) text(v float64) string {
	if f.percent {
		v = dustless(v) * 100
	}
	s := plainNumber(v)
	if strings.ContainsAny(s, "eIN") {
		return s
	}
	sign := ""
	if s[0] == '-' {
		sign, s = "-", s[1:]
	}
	whole, part, _ := strings.Cut(s, ".")
	if n := f.digits - len(whole); n > 0 {
		whole = strings.Repeat("0", n) + whole
	}
	if n := f.decimals - len(part); n > 0 {
		part += strings.Repeat("0", n)
	}
	if part != "" {
		whole += "." + part
	}
	if f.percent {
		whole += "%"
	}
	return sign + whole + f.suffix
}

// rounded keeps two decimals, enough for a confidence.
func rounded(v float64) float64 { return math.Round(v*100) / 100 }
