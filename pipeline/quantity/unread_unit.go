package quantity

import (
	"strings"
	"sync"
	"unicode/utf8"

	"spadefoot/mappings"
)

// unreadRow is one row of mappings/units_unread.csv.
type unreadRow struct {
	Text string `csv:"text"`
	Kind string `csv:"kind"`
}

// unreadUnits are names of units that are not read, and prefixes that make
// other units of those that are.
type unreadUnits struct {
	names    map[string]bool
	prefixes []string
}

var loadUnread = sync.OnceValues(func() (*unreadUnits, error) {
	u := &unreadUnits{names: map[string]bool{}}
	rows, err := mappings.Table[unreadRow]("units_unread.csv")
	for _, r := range rows {
		if r.Kind == "prefix" {
			u.prefixes = append(u.prefixes, fold(r.Text))
			continue
		}
		u.names[fold(r.Text)] = true
	}
	return u, err
})

// otherUnit reports whether a word that stands alone behind a number is more
// likely a unit that is not read than a note: the name of one, or so short, or
// so without vowels, as only abbreviations are.
func otherUnit(word string) bool {
	k := fold(word)
	n := utf8.RuneCountInString(k)
	if n <= 2 || n <= 4 && !strings.ContainsAny(k, "aeiouy") {
		return true
	}
	u, _ := loadUnread()
	if u.names[k] || u.names[strings.TrimSuffix(k, "s")] {
		return true
	}
	for _, p := range u.prefixes {
		if rest, ok := strings.CutPrefix(k, p); ok && len(rest) > 3 && units().names[rest] != nil {
			return true
		}
	}
	return false
}
