package quantity

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// LostDigits reports whether text is a whole number that a spreadsheet put
// into scientific notation with fewer digits than it had: "9.85E+14". Typed
// labels such as "1E5" have no plus sign and are left alone.
func LostDigits(text string) bool {
	s := strings.ToUpper(clean(text))
	mantissa, exp, ok := strings.Cut(s, "E+")
	if !ok || len(exp) < 2 || len(exp) > 3 {
		return false
	}
	e, err := strconv.Atoi(exp)
	if err != nil || exp[0] == '-' || exp[0] == '+' {
		return false
	}
	whole, frac, _ := strings.Cut(strings.Replace(mantissa, ",", ".", 1), ".")
	whole = strings.TrimPrefix(whole, "-")
	return len(whole) == 1 && isDigits(whole) && (frac == "" || isDigits(frac)) && e > len(frac)
}

func isDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if !isDigit(rune(s[i])) {
			return false
		}
	}
	return s != ""
}

// isFault reports whether s is one of the error values of spreadsheets.
func isFault(s string) bool {
	return len(s) > 2 && s[0] == '#' && (s[len(s)-1] == '!' || s[len(s)-1] == '?') ||
		strings.EqualFold(s, "#N/A N/A") || strings.HasPrefix(s, "Err:5")
}

// digitFor returns the digit that a letter is taken for, by its shape: common
// practice of those who key in handwriting and of readers of print.
func digitFor(c byte) (digit byte, ok bool) {
	switch c {
	case 'O', 'o':
		return '0', true
	case 'l', 'I', '|':
		return '1', true
	case 'Z', 'z':
		return '2', true
	case 'S', 's':
		return '5', true
	case 'B':
		return '8', true
	}
	return 0, false
}

// correctLetters puts digits for the letters that look like them where everything
// else is a numeral. It gives "" if there is no such letter, if another one
// is among the characters before the unit, or if the letter is a unit:
// "12 l" is twelve litres. A letter behind a decimal mark is none.
func correctLetters(s string) string {
	var b strings.Builder
	letters, digits, end := 0, 0, len(s)
	for i := 0; i < len(s); i++ {
		c := s[i]
		digit, like := digitFor(c)
		switch {
		case isDigit(rune(c)):
			digits++
		case like:
			letters++
			c = digit
		case c == '.' || c == ',' || c == '-' && i == 0:
		default:
			end = i
		}
		if end == i {
			break
		}
		b.WriteByte(c)
	}
	rest := strings.TrimSpace(s[end:])
	if letters == 0 || digits == 0 && letters < 2 || rest != "" && units().find(rest) == nil {
		return ""
	}
	if _, left, ok := scanNumber(b.String(), 0); !ok || left != "" {
		return ""
	}
	tail := strings.TrimLeft(s, "0123456789.,- ")
	marked := strings.HasSuffix(s, "."+tail) || strings.HasSuffix(s, ","+tail)
	if units().find(tail) != nil && !marked {
		return ""
	}
	return b.String() + s[end:]
}

// amongDigits finds, in a word that touches a number, letters that are where
// digits should: with digits behind them, or one alone behind a decimal mark.
var amongDigits = regexp.MustCompile(`^[.,]?\pL+[.,]?\d|^[.,]\pL(\PL|$)`)

type monthRow struct {
	Month    int    `csv:"month"`
	Language string `csv:"language"`
	Names    string `csv:"names"`
}

var months = sync.OnceValue(func() map[string]int {
	m := map[string]int{}
	for _, r := range schemas.Must(mappings.Table[monthRow]("months.csv")) {
		for _, n := range split(r.Names) {
			m[fold(n)] = r.Month
		}
	}
	return m
})

// becameDate returns the numbers that may have been typed where s is a date as a
// spreadsheet shows a number that it took for one: 12.5 or 5.12 for "12-May", 5.45
// for "May-45".
func becameDate(s string) []string {
	s, _, _ = strings.Cut(s, "T")
	if d, t, found := strings.Cut(s, " "); found && strings.Contains(t, ":") {
		s = d
	}
	if mixedNumber(s) {
		return nil
	}
	parts := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune("-/. ", r) })
	switch len(parts) {
	case 2:
		if m := months()[fold(parts[1])]; m > 0 && isDigits(parts[0]) && len(parts[0]) <= 2 {
			return typed(parts[0], m)
		}
		if m := months()[fold(parts[0])]; m > 0 && isDigits(parts[1]) {
			return []string{fmt.Sprintf("%d.%s", m, parts[1][max(0, len(parts[1])-2):])}
		}
	case 3:
		return threeParts(parts, strings.ContainsAny(s, "-/"))
	}
	return nil
}

// mixedNumber knows "1 3/16" and "1-3/16", which have two kinds of separators
// and so is not a date.
func mixedNumber(s string) bool {
	i := strings.IndexAny(s, " -")
	if i < 0 || !isDigits(s[:i]) {
		return false
	}
	num, rest := leadInt(s[i+1:])
	den, rest := leadInt(strings.TrimPrefix(rest, "/"))
	return rest == "" && strings.Count(s, "/") == 1 && properFraction(num, den)
}

func threeParts(p []string, joined bool) []string {
	if m := months()[fold(p[1])]; m > 0 && isDigits(p[0]) && isDigits(p[2]) {
		return typed(p[0], m)
	}
	if m := months()[fold(p[0])]; m > 0 && isDigits(strings.TrimSuffix(p[1], ",")) && isDigits(p[2]) {
		return typed(strings.TrimSuffix(p[1], ","), m)
	}
	if !isDigits(p[0]) || !isDigits(p[1]) || !isDigits(p[2]) {
		return nil
	}
	year, day := 0, ""
	switch {
	case len(p[0]) == 4 && len(p[1]) <= 2 && len(p[2]) <= 2:
		year, day = 0, p[2]
	case len(p[2]) == 4 && len(p[0]) <= 2 && len(p[1]) <= 2:
		year, day = 2, p[0]
	case joined && len(p[0]) <= 2 && len(p[1]) <= 2 && len(p[2]) == 2:
		year, day = 2, p[0]
	default:
		return nil
	}
	m, _ := strconv.Atoi(p[1])
	d, _ := strconv.Atoi(day)
	if m < 1 || d < 1 || m > 31 || d > 31 || m > 12 && d > 12 {
		return nil
	}
	s := typed(day, m)
	if d == 1 && len(p[year]) == 4 {
		s = append(s, fmt.Sprintf("%d.%s", m, p[year][2:]))
	}
	return s
}

// typed returns both orders in which day and month may have been typed.
func typed(day string, month int) []string {
	d, _ := strconv.Atoi(day)
	if d == month {
		return []string{fmt.Sprintf("%d.%d", d, month)}
	}
	return []string{fmt.Sprintf("%d.%d", d, month), fmt.Sprintf("%d.%d", month, d)}
}
