package calendar

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"spadefoot/mappings"
)

// words holds the vocabulary of dates by folded spelling.
type words struct {
	months   map[string]int
	weekdays map[string]int
	seasons  map[string]season
	missing  map[string]bool
}

// season is one row of mappings/seasons.csv.
type season struct {
	Name      string `csv:"season"`
	NorthFrom int    `csv:"north_from"`
	NorthTo   int    `csv:"north_to"`
	SouthFrom int    `csv:"south_from"`
	SouthTo   int    `csv:"south_to"`
	Names     string `csv:"names"`
}

type monthRow struct {
	Month    int    `csv:"month"`
	Language string `csv:"language"`
	Names    string `csv:"names"`
}

type weekdayRow struct {
	Weekday  int    `csv:"weekday"`
	Language string `csv:"language"`
	Names    string `csv:"names"`
}

type missingRow struct {
	Text     string `csv:"text"`
	Kind     string `csv:"kind"`
	Language string `csv:"language"`
}

var loadWords = sync.OnceValues(func() (*words, error) {
	w := &words{
		months: map[string]int{}, weekdays: map[string]int{},
		seasons: map[string]season{}, missing: map[string]bool{},
	}
	months, err := mappings.Table[monthRow]("months.csv")
	if err != nil {
		return w, err
	}
	for _, r := range months {
		for _, n := range strings.Split(r.Names, "|") {
			w.months[fold(n)] = r.Month
		}
	}
	weekdays, err := mappings.Table[weekdayRow]("weekdays.csv")
	if err != nil {
		return w, err
	}
	for _, r := range weekdays {
		for _, n := range strings.Split(r.Names, "|") {
			w.weekdays[fold(n)] = r.Weekday
		}
	}
	seasons, err := mappings.Table[season]("seasons.csv")
	if err != nil {
		return w, err
	}
	for _, r := range seasons {
		for _, n := range strings.Split(r.Names, "|") {
			w.seasons[fold(n)] = r
		}
	}
	missing, err := mappings.Table[missingRow]("missing.csv")
	for _, r := range missing {
		if r.Kind != "sentinel" {
			w.missing[fold(r.Text)] = true
		}
	}
	return w, err
})

// vocabulary returns the embedded words; a test reads them whole, so the error of
// loading cannot reach a user.
func vocabulary() *words {
	w, _ := loadWords()
	return w
}

// romans are the Roman numerals for months.
var romans = map[string]int{
	"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6,
	"vii": 7, "viii": 8, "ix": 9, "x": 10, "xi": 11, "xii": 12,
}

// fold makes words comparable: lower case, no accents, no dots at the ends.
func fold(s string) string {
	s = strings.Trim(s, ". ")
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 {
			s = norm.NFD.String(s)
			break
		}
	}
	var b strings.Builder
	for _, r := range s {
		if unicode.Is(unicode.Mn, r) {
			continue
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}

// clean brings dashes, blanks, quotes and digits of other kinds to plain ones
// and makes every run of blanks one blank.
func clean(text string) string {
	plain := true
	for i := 0; i < len(text); i++ {
		if text[i] < ' ' || text[i] > '~' {
			plain = false
			break
		}
	}
	if !plain {
		text = strings.Map(plainRune, text)
	}
	if strings.Contains(text, "  ") || !plain || text != strings.TrimSpace(text) {
		text = strings.Join(strings.Fields(text), " ")
	}
	return text
}

func plainRune(r rune) rune {
	switch {
	case r == '\u2019' || r == '\u2018' || r == '\u2032' || r == '\u00b4':
		return '\''
	case r >= '\u2010' && r <= '\u2015' || r == '\u2212':
		return '-'
	case r == '\u2044' || r == '\u2215':
		return '/'
	case r >= 0xff01 && r <= 0xff5e:
		return r - 0xfee0
	case r == '\u200b' || r == '\ufeff' || r == '\u200e' || r == '\u200f' || r == '\u00ad':
		return -1
	case unicode.IsSpace(r) || unicode.IsControl(r) || r == unicode.ReplacementChar:
		return ' '
	case r > unicode.MaxASCII && unicode.Is(unicode.Nd, r):
		n := rune(0)
		for n < 9 && unicode.Is(unicode.Nd, r-n-1) {
			n++
		}
		return '0' + n
	}
	return r
}
