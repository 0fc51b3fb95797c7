package quantity

import (
	"math"
	"strconv"
	"strings"
)

// number is a numeral as scanned.
type number struct {
	value    float64
	decimals int     // digits after the point; negative for 1.5E3
	step     float64 // size of the last place: 0.1 for 12.5, 0.0625 for 3 5/16
	fraction bool    // written with a fraction bar
	bare     bool    // a fraction with no whole number before it
	marks    marks
	noise    bool // digits of binary arithmetic cut off
}

// marks is what a numeral says about the decimal mark.
type marks struct {
	decimal byte // '.' or ',' used as decimal mark, 0 if none
	certain bool // the numeral can only be read so
	group   byte // grouping mark, 0 if none
	clash   bool // contradicts the mark that was given
	unclear bool // two readings: 1,234 and no mark known
	bad     bool // no reading at all: 12..5, 1.2.3
}

// scanNumber reads a numeral with an optional sign from the start of s.
// decimal is the known decimal mark or 0. n.marks.bad and n.marks.unclear say
// that the run of digits has no reading, or two; rest is then after the run.
func scanNumber(s string, decimal byte) (n number, rest string, ok bool) {
	body, sign := s, 1.0
	if strings.HasPrefix(body, "-") || strings.HasPrefix(body, "+") {
		if body[0] == '-' {
			sign = -1
		}
		body = body[1:]
	}
	run := digitRun(body)
	if run == "" {
		return number{}, s, false
	}
	rest = body[len(run):]
	whole, frac, m := readMarks(run, decimal)
	n.marks = m
	if m.bad || m.unclear {
		return n, rest, true
	}
	exp, after := scanExponent(rest)
	rest = after
	if len(run) > 40 || exp > 30 || exp < -30 {
		n.marks.bad = true // no measurement is written so
		return n, rest, true
	}
	digits := whole
	if frac != "" {
		digits += "." + frac
	}
	v, err := strconv.ParseFloat(digits+"e"+strconv.Itoa(exp), 64)
	if err != nil || math.IsInf(v, 0) {
		n.marks.bad = true
		return n, rest, true
	}
	n.decimals = len(frac) - exp
	n.cutNoise(&v, len(whole)+len(frac))
	if n.decimals > maxDecimals || math.Abs(v) >= maxValue {
		n.marks.bad = true // 1E-31, 8E46: no field sheet means that
		return n, rest, true
	}
	n.value, n.step = sign*v, math.Pow10(-n.decimals)
	if n.decimals == 0 && exp == 0 && m.group == 0 {
		rest = n.scanFraction(whole, rest, sign)
	}
	return n, rest, true
}

// maxDecimals is how many digits after the point a number may have: as many as a
// program prints of a stored number, behind some noughts.
const maxDecimals = 30

// maxValue is far above anything that is measured in a hand.
const maxValue = 1e12

// cutNoise drops the tail that binary arithmetic leaves when a program prints
// all of a stored number: 57.499999999999993 was 57.5.
func (n *number) cutNoise(v *float64, digits int) {
	if digits < 16 || n.decimals < 8 {
		return
	}
	short := strconv.FormatFloat(*v, 'e', 12, 64)
	mantissa, _, _ := strings.Cut(short, "e")
	trimmed := strings.TrimRight(mantissa, "0")
	if len(mantissa)-len(trimmed) < 3 {
		return
	}
	w, err := strconv.ParseFloat(short, 64)
	if err != nil {
		return
	}
	f := strconv.FormatFloat(w, 'f', -1, 64)
	_, frac, _ := strings.Cut(f, ".")
	*v, n.decimals, n.noise = w, len(frac), true
}

// digitRun returns the longest start of s made of digits and the marks between
// them. A mark at the end is not part of it.
func digitRun(s string) string {
	end, i := 0, 0
	for i < len(s) {
		c := s[i]
		switch {
		case c >= '0' && c <= '9':
			i++
			end = i
		case c == '.' || c == ',':
			i++
		case strings.HasPrefix(s[i:], string(nbsp)):
			i += len(string(nbsp))
		case (c == '\'' || c == ' ') && end == i && end > 0 && groupFollows(s, i):
			i++
		default:
			return s[:end]
		}
	}
	return s[:end]
}

// groupFollows reports whether exactly three digits follow the mark at i and,
// for a blank, whether the rest of the numeral shows that it groups: another
// group or a decimal mark with digits. "12 345" alone may be two numbers.
func groupFollows(s string, i int) bool {
	j := i + 1
	for j < len(s) && s[j] >= '0' && s[j] <= '9' {
		j++
	}
	if j-i-1 != 3 {
		return false
	}
	if s[i] == '\'' {
		return true
	}
	if start := leadDigits(s[:i]); start < 1 || start > 3 {
		return false
	}
	if j+1 < len(s) && (s[j] == ',' || s[j] == '.') && isDigit(rune(s[j+1])) {
		return true
	}
	return j < len(s) && s[j] == ' ' && groupFollows(s, j) ||
		strings.Count(s[:i], " ") > 0
}

// leadDigits counts the digits at the end of s.
func leadDigits(s string) int {
	n := 0
	for n < len(s) && isDigit(rune(s[len(s)-1-n])) {
		n++
	}
	return n
}

// scanExponent reads "E+3", "e-2" or "x 10^3" from the start of s.
func scanExponent(s string) (exp int, rest string) {
	t := s
	switch {
	case len(t) > 1 && (t[0] == 'E' || t[0] == 'e'):
		t = t[1:]
	default:
		u := strings.TrimLeft(t, " ")
		if len(u) < 2 || u[0] != 'x' && u[0] != '*' {
			return 0, s
		}
		u = strings.TrimLeft(u[1:], " ")
		if !strings.HasPrefix(u, "10^") {
			return 0, s
		}
		t = u[3:]
	}
	i := 0
	if i < len(t) && (t[i] == '+' || t[i] == '-') {
		i++
	}
	start := i
	for i < len(t) && isDigit(rune(t[i])) && i-start < 5 {
		i++
	}
	if i == start || i < len(t) && isDigit(rune(t[i])) {
		return 0, s
	}
	exp, err := strconv.Atoi(strings.TrimPrefix(t[:i], "+"))
	if err != nil {
		return 0, s
	}
	return exp, t[i:]
}
