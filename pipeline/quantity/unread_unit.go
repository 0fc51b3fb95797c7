package quantity

import (
	"slices"
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// unreadRow is one row of mappings/units_unread.csv.
type unreadRow struct {
	Text  string `csv:"text"`
	Kind  string `csv:"kind"`
	Codes string `csv:"codes"` // of UCUM
}

// unreadUnits are names and symbols of units that are not read, and prefixes
// that make other units of those that are.
type unreadUnits struct {
	names    map[string]bool
	symbols  map[string]bool
	prefixes []prefix
}

// prefix is one such as milli, with its symbol.
type prefix struct{ name, symbol string }

var unread = sync.OnceValue(func() *unreadUnits {
	u := &unreadUnits{names: map[string]bool{}, symbols: map[string]bool{}}
	for _, r := range schemas.Must(mappings.Table[unreadRow]("units_unread.csv")) {
		if r.Kind == "prefix" {
			u.prefixes = append(u.prefixes, prefix{fold(r.Text), r.Codes})
			continue
		}
		u.names[fold(r.Text)] = true
		for code := range strings.FieldsSeq(r.Codes) {
			u.symbols[symbolOf(code)] = true
		}
	}
	return u
})

// symbolOf is how a unit is written whose code is [dr_av]: dr.
func symbolOf(code string) string {
	stem, _, _ := strings.Cut(strings.Trim(code, "[]"), "_")
	return fold(stem)
}

// otherUnit reports whether a word that is alone behind a number is a unit
// that is not read: the name or the symbol of one, or a prefix with a unit.
func otherUnit(word string) bool {
	k, u := fold(word), unread()
	if one := strings.TrimSuffix(k, "s"); u.names[k] || u.names[one] || u.symbols[k] || u.symbols[one] {
		return true
	}
	for _, p := range u.prefixes {
		if rest, ok := strings.CutPrefix(k, p.name); ok && len(rest) > 3 && units().names[rest] != nil {
			return true
		}
		if rest, ok := strings.CutPrefix(word, p.symbol); ok && (rest == "m" || rest == "g") {
			return true
		}
	}
	return false
}

// HasUnreadUnit reports whether the last brackets of a heading hold a unit that
// is not read: the name of one, or known ones with a power, or one per another.
// "Volume (mm^4)", "Jump (m/d)", "Gape (px)".
func HasUnreadUnit(heading string) bool {
	i := strings.LastIndexAny(heading, "([")
	if i < 0 || len(heading) > longestHeading {
		return false
	}
	inside := strings.TrimSpace(strings.TrimRight(heading[i+1:], " )]"))
	if _, known := FindUnit(inside); known {
		return false
	}
	pieces := strings.FieldsFunc(inside, func(r rune) bool { return strings.ContainsRune("0123456789^²³⁻¹/·*.- ", r) })
	for _, p := range pieces {
		if _, known := FindUnit(p); !known && !slices.Contains(partsOfUnits, p) && !otherUnit(p) {
			return false
		}
	}
	return len(pieces) > 0
}
