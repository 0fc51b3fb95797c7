package calendar

import (
	"strings"
	"unicode"
)

// field is a number or a word of a date, with what is before it.
type field struct {
	sep     string // characters before the field, without letters and digits
	text    string
	number  bool
	value   int
	month   int  // 1–12 for the name of a month
	roman   bool // the month is a Roman numeral
	blank   bool // a placeholder for "not known": XX, ??, 00
	century bool // an apostrophe before two digits: '87 is a year
	plural  bool // an s after a year: 1980s
}

// isYear reports whether the field can only be a year.
func (f field) isYear() bool {
	return f.number && (len(f.text) == 4 && plausibleYear(f.value) || f.century)
}

// plausibleYear bounds the years that field data can be from.
func plausibleYear(y int) bool { return y >= 1500 && y <= 2199 }

// isDay reports whether the field can be the number of a day or a month.
func (f field) isDay() bool { return f.blank || f.number && len(f.text) <= 2 && !f.century }

// lexed is a date taken apart.
type lexed struct {
	fields  []field
	weekday int      // 1–7 if a day of the week was written
	unknown []string // words that are not part of a date
	inside  bool     // such a word is before the last field
	dayWord bool     // "day 154", "DOY"
	tail    string   // characters after the last field
}

// ordinals end a number; links join the parts of a date.
var (
	ordinals = wordSet("st nd rd th er re ro do da to ta vo va mo no º ª o a")
	links    = wordSet("of the on de del do da le el am den der dem dos um ano year del los")
	dayWords = wordSet("day doy julian yday jday dia jour tag d")
)

func wordSet(s string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(s) {
		m[w] = true
	}
	return m
}

// lex splits s into fields. Words that belong to no date are kept apart.
func lex(s string) lexed {
	var l lexed
	sep := ""
	for len(s) > 0 {
		n := 0
		kind := class(s)
		for n < len(s) && class(s[n:]) == kind {
			n += runeLen(s[n:])
		}
		part := s[:n]
		s = s[n:]
		switch kind {
		case otherClass:
			sep += part
			if strings.Contains(part, "??") {
				l.fields = append(l.fields, field{sep: sep, text: part, blank: true})
				sep = ""
			}
		case digitClass:
			l.number(sep, part)
			sep = ""
		case letterClass:
			if l.word(sep, part) {
				sep = ""
			}
		}
	}
	l.tail = sep
	return l
}

func (l *lexed) number(sep, part string) {
	l.inside = l.inside || len(l.unknown) > 0
	f := field{sep: sep, text: part, number: true}
	for i := 0; i < len(part) && i < 9; i++ {
		f.value = f.value*10 + int(part[i]-'0')
	}
	f.century = strings.HasSuffix(sep, "'") && len(part) == 2
	f.blank = f.value == 0 && len(part) <= 2 && !f.century
	l.fields = append(l.fields, f)
}

// word takes one word and reports whether it used up the separator.
func (l *lexed) word(sep, part string) bool {
	v, key := vocabulary(), fold(part)
	last := len(l.fields) - 1
	switch {
	case last >= 0 && sep == "" && l.fields[last].number && key == "s" && len(l.fields[last].text) == 4:
		l.fields[last].plural = true
	case last >= 0 && sep == "" && l.fields[last].number && ordinals[key]:
	case v.months[key] > 0:
		l.fields = append(l.fields, field{sep: sep, text: part, month: v.months[key]})
		return true
	case romans[key] > 0:
		l.fields = append(l.fields, field{sep: sep, text: part, month: romans[key], roman: true})
		return true
	case key == "xx" || key == "xxx" || key == "xxxx":
		l.fields = append(l.fields, field{sep: sep, text: part, blank: true})
		return true
	case v.weekdays[key] > 0:
		l.weekday = v.weekdays[key]
	case dayWords[key]:
		l.dayWord = true
	case links[key]:
	default:
		l.unknown = append(l.unknown, part)
	}
	return false
}

type runeClass uint8

const (
	otherClass runeClass = iota
	digitClass
	letterClass
)

func class(s string) runeClass {
	switch r := firstRune(s); {
	case r >= '0' && r <= '9':
		return digitClass
	case unicode.IsLetter(r) || unicode.Is(unicode.Mn, r):
		return letterClass
	}
	return otherClass
}

func firstRune(s string) rune {
	for _, r := range s {
		return r
	}
	return 0
}

func runeLen(s string) int {
	for i := range s {
		if i > 0 {
			return i
		}
	}
	return len(s)
}
