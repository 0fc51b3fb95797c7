package quantity

import (
	"math"
	"strings"
)

// bar is the fraction slash, which is not a separator of two numbers.
const bar = "\u2044"

func cutBar(s string) (string, bool) {
	if rest, ok := strings.CutPrefix(s, bar); ok {
		return rest, true
	}
	return strings.CutPrefix(s, "/")
}

// scanFraction reads " 5/16" or "-5/16" after a whole number, or "/16" where
// the whole number is the numerator, and returns what is left.
func (n *number) scanFraction(whole, rest string, sign float64) string {
	s, bare := rest, false
	if strings.HasPrefix(s, "/") {
		s, bare = whole+s, true
	} else if strings.HasPrefix(s, bar) {
		s = whole + s
		whole = ""
	} else if len(s) > 1 && (s[0] == ' ' || s[0] == '-') {
		s = s[1:]
	} else {
		return rest
	}
	num, after := leadInt(s)
	after, ok := cutBar(after)
	if num <= 0 || !ok {
		return rest
	}
	den, after := leadInt(after)
	if !properFraction(num, den) || strings.HasPrefix(after, "/") || strings.HasPrefix(after, ".") {
		return rest
	}
	f := float64(num) / float64(den)
	if bare || whole == "" {
		n.value = sign * f
	} else {
		n.value += sign * f
	}
	n.step, n.fraction, n.bare = 1/float64(den), true, bare
	n.decimals = fractionPlaces(n.step)
	return after
}

// properFraction reports whether num/den is a fraction that people write: in
// lowest terms, below one, of halves to sixty-fourths, thirds, fifths, sixths.
func properFraction(num, den int) bool {
	switch den {
	case 2, 4, 8, 16, 32, 64:
		return num > 0 && num < den && num%2 == 1
	case 3, 5:
		return num > 0 && num < den
	case 6:
		return num == 1 || num == 5
	}
	return false
}

// fractionPlaces returns the digits after the point that a fraction is written
// with as a decimal number: the first place whose rounding moves the value by
// no more than a tenth of the step.
func fractionPlaces(step float64) int {
	return int(math.Ceil(-math.Log10(step/5) - 1e-9))
}

// leadInt reads up to six digits from the start of s; -1 if there are none.
func leadInt(s string) (int, string) {
	i, v := 0, 0
	for i < len(s) && i < 6 && isDigit(rune(s[i])) {
		v = v*10 + int(s[i]-'0')
		i++
	}
	if i == 0 {
		return -1, s
	}
	return v, s[i:]
}
