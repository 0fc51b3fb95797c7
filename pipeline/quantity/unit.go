package quantity

import (
	"fmt"
	"math/big"
	"strings"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// unitRow is one row of mappings/units.csv.
type unitRow struct {
	Code      string `csv:"code"`
	Dimension string `csv:"dimension"`
	Factor    string `csv:"factor"`
	Offset    string `csv:"offset"`
	Display   string `csv:"display"`
	Symbols   string `csv:"symbols"`
	Names     string `csv:"names"`
	Guarded   string `csv:"guarded"`
	Headed    string `csv:"headed"`
	IRI       string `csv:"iri"`
}

// unit is one unit: base = (value + offset) × factor.
type unit struct {
	code, dimension, display string
	iri                      string
	factor, offset           *big.Rat
	guarded, headed          map[string]bool
}

// unitTable finds units by code, by symbol as it stands, and by folded name.
type unitTable struct {
	codes   map[string]*unit
	symbols map[string]*unit
	names   map[string]*unit
	spelled []string // folded names of two letters and more, in the file's order
	headed  map[string]map[string]bool
}

var units = sync.OnceValue(func() *unitTable {
	t := &unitTable{
		codes: map[string]*unit{}, symbols: map[string]*unit{},
		names: map[string]*unit{}, headed: map[string]map[string]bool{},
	}
	for _, r := range schemas.Must(mappings.Table[unitRow]("units.csv")) {
		schemas.Must(t, t.add(r))
	}
	return t
})

// UnitIRI returns the address that stands for a unit by its UCUM code, or "".
func UnitIRI(code string) string {
	if u := units().codes[code]; u != nil {
		return u.iri
	}
	return ""
}

func (t *unitTable) add(r unitRow) error {
	u := &unit{code: r.Code, dimension: r.Dimension, display: r.Display, iri: r.IRI, offset: new(big.Rat)}
	var ok bool
	if u.factor, ok = new(big.Rat).SetString(r.Factor); !ok {
		return fmt.Errorf("unit %s: factor %q is not a number", r.Code, r.Factor)
	}
	if r.Offset != "" {
		if u.offset, ok = new(big.Rat).SetString(r.Offset); !ok {
			return fmt.Errorf("unit %s: offset %q is not a number", r.Code, r.Offset)
		}
	}
	if t.codes[r.Code] != nil {
		return fmt.Errorf("unit %s is listed twice", r.Code)
	}
	t.codes[r.Code] = u
	u.guarded, u.headed = foldedSet(r.Guarded), foldedSet(r.Headed)
	for w := range u.headed {
		if t.headed[w] == nil {
			t.headed[w] = map[string]bool{}
		}
		t.headed[w][u.dimension] = true
	}
	for _, s := range append(split(r.Symbols), r.Code) {
		if o := t.symbols[s]; o != nil && o != u {
			return fmt.Errorf("symbol %q is of %s and of %s", s, o.code, u.code)
		}
		t.symbols[s] = u
	}
	for _, n := range split(r.Names) {
		k := fold(n)
		if o := t.names[k]; o != nil && o != u {
			return fmt.Errorf("name %q is of %s and of %s", n, o.code, u.code)
		}
		if t.names[k] == nil && len(k) > 1 {
			t.spelled = append(t.spelled, k)
		}
		t.names[k] = u
	}
	return nil
}

func split(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, "|")
}

func foldedSet(s string) map[string]bool {
	set := map[string]bool{}
	for _, w := range split(s) {
		set[fold(w)] = true
	}
	return set
}

// longestSpelling bounds how a unit is written, in bytes.
const longestSpelling = 100

// find returns the unit written as text, or nil. The number 1 is a code but is
// never how a unit is written.
func (t *unitTable) find(text string) *unit {
	s := strings.TrimSpace(text)
	if s == "" || s == "1" || len(s) > longestSpelling {
		return nil
	}
	if u := t.symbols[s]; u != nil {
		return u
	}
	s = strings.TrimSuffix(s, ".")
	if u := t.symbols[s]; u != nil {
		return u
	}
	return t.names[fold(s)]
}

// FindUnit returns the UCUM code of a unit as people write it: "mm",
// "millimetres", "gr", "°C", "pulgadas", "Zoll". Symbols are tried as they
// stand, then names without case, accents, blanks and dots. "M" is not a metre.
func FindUnit(text string) (code string, ok bool) {
	u := units().find(clean(text))
	if u == nil {
		return "", false
	}
	return u.code, true
}

// Dimension returns the dimension of a UCUM code ("length", "mass",
// "temperature", "time", "angle", "1", …), or "" for a code not in the table.
func Dimension(code string) string {
	if u := units().codes[code]; u != nil {
		return u.dimension
	}
	return ""
}

// Implied reports whether numbers are in a unit though nobody writes it: counts
// have none, and pH is one scale. So are numbers without any ("").
func Implied(code string) bool { return code == "" || code == "1" || code == "[pH]" }

// Display returns the unit as people read it ("°C" for Cel), or the code itself
// for one not in the table.
func Display(code string) string {
	if u := units().codes[code]; u != nil {
		return u.display
	}
	return code
}

// Factor returns the exact number by which a value in unit from is multiplied to
// have it in unit to. ok is false for unknown codes and different dimensions.
// Of temperatures it converts differences, not points of the scale.
func Factor(from, to string) (num *big.Rat, ok bool) {
	t := units()
	f, g := t.codes[from], t.codes[to]
	if f == nil || g == nil || f.dimension != g.dimension {
		return nil, false
	}
	return new(big.Rat).Quo(f.factor, g.factor), true
}

// HalfWidth returns half of a scale's graduation: the reading lies within it of
// the true value if it was read to the nearest mark (JCGM 100:2008, 4.3.7).
// The result is in the graduation's unit; a negative or zero graduation gives
// zero.
func HalfWidth(graduation float64) float64 {
	if graduation <= 0 {
		return 0
	}
	return graduation / 2
}
