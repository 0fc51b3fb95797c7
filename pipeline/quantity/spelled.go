package quantity

import (
	"strconv"
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// numberWords are the words of numbers with what they say: a number, "and", or
// "other" for what is not worked out.
var numberWords = sync.OnceValue(func() map[string]string {
	type row struct {
		Number string `csv:"number"`
		Words  string `csv:"words"`
	}
	out := map[string]string{}
	for _, r := range schemas.Must(mappings.Table[row]("number_words.csv")) {
		for w := range strings.SplitSeq(r.Words, "|") {
			out[fold(w)] = r.Number
		}
	}
	return out
})

// spelled reports whether s is a number in words, maybe with a word before that it
// is about so much and a unit behind it, and how it is written in figures, "" where
// that is not plain. In a language whose words are not known, one word beside such
// a word or a unit may be a number.
func spelled(s string) (figures string, is bool) {
	if strings.ContainsAny(s, "0123456789") {
		return "", false
	}
	p, q := parser{s: s}, Quantity{}
	p.qualifier(&q)
	before, rest, unit := s[:len(s)-len(p.s)], p.s, ""
	n, plain, is := inFigures(rest)
	if i := strings.LastIndexByte(rest, ' '); !is && i > 0 {
		if _, known := FindUnit(rest[i+1:]); known {
			rest, unit = rest[:i], rest[i:]
			n, plain, is = inFigures(rest)
		}
	}
	if is && plain {
		return before + strconv.Itoa(n) + unit, true
	}
	return "", is || (unit != "" || q.doubted) && hasLetter(rest) && !strings.Contains(rest, " ")
}

// inFigures reports whether s is words of numbers, and their number where it is
// plain: thousands, hundreds, tens and ones, one after the other.
func inFigures(s string) (n int, plain, is bool) {
	rest, plain := 0, true // below the thousands
	for _, w := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '-' }) {
		says, known := numberWords()[fold(w)]
		v, err := strconv.Atoi(says)
		switch {
		case !known:
			return 0, false, false
		case says == "and":
			continue
		case err != nil || v == 0 && is || v < 10 && rest%10 > 0 || v >= 10 && v < 100 && rest%100 > 0 || v == 100 && rest >= 10 || v > 100 && v < 1000 && rest > 0 || v == 1000 && n > 0:
			plain = false
		case v == 1000:
			n, rest = max(rest, 1)*v, 0
		case v == 100:
			rest = max(rest, 1) * v
		default:
			rest += v
		}
		is = true
	}
	return n + rest, plain, is
}
