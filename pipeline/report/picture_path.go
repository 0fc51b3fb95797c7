package report

import (
	"strconv"
	"strings"
)

// shortPath rounds a path to a tenth of a unit. A line of no length, which is
// a disc by its round ends, is written as short as can be.
func shortPath(d string) string {
	b := make([]byte, 0, len(d))
	for i := 0; i < len(d); {
		n := numberLength(d[i:])
		if n == 0 {
			b = append(b, d[i])
			i++
			continue
		}
		b = append(b, shortNumber(d[i:i+n])...)
		i += n
	}
	return stillLines(string(b))
}

// numberLength is the length of the number that a text begins with.
func numberLength(s string) int {
	digits := func(i int) int {
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
		}
		return i
	}
	from := truth(len(s) > 0 && s[0] == '-')
	i := digits(from)
	if i == from {
		return 0
	}
	if i < len(s) && s[i] == '.' {
		i = digits(i + 1)
	}
	if i < len(s) && s[i] == 'e' {
		sign := truth(i+1 < len(s) && (s[i+1] == '-' || s[i+1] == '+'))
		if j := digits(i + 1 + sign); j > i+1+sign {
			return j
		}
	}
	return i
}

// stillLines shortens lines that lead from a place to the same place.
func stillLines(d string) string {
	var b strings.Builder
	b.Grow(len(d))
	for {
		i := strings.IndexByte(d, 'M')
		if i < 0 {
			break
		}
		end := i + 1
		for end < len(d) && strings.IndexByte("-.,0123456789", d[end]) >= 0 {
			end++
		}
		b.WriteString(d[:end])
		at, rest := d[i+1:end], d[end:]
		d = rest
		if to, ok := strings.CutPrefix(rest, "L"); ok && strings.Count(at, ",") == 1 {
			to, ok = strings.CutPrefix(to, at)
			if ok && (to == "" || strings.IndexByte(".0123456789", to[0]) < 0) {
				b.WriteString("h0")
				d = to
			}
		}
	}
	b.WriteString(d)
	return b.String()
}

func shortNumber(s string) string {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return s
	}
	return short(v)
}

func short(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}
