package place

import (
	"fmt"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// datum is a row of mappings/datums.csv with its shifts to WGS 84.
type datum struct {
	Code     string  `csv:"code"` // EPSG code of the geographic 2D system
	Name     string  `csv:"name"`
	Synonyms string  `csv:"synonyms"`
	A        float64 `csv:"a"`
	InvF     float64 `csv:"inverseFlattening"`
	shifts   []shift
}

// shift is a row of mappings/datum_shifts.csv: a transformation to WGS 84 of
// geocentric coordinates, with the area that it holds for.
type shift struct {
	Code      string  `csv:"code"`
	Operation string  `csv:"operation"`
	DX        float64 `csv:"dx"` // metres
	DY        float64 `csv:"dy"`
	DZ        float64 `csv:"dz"`
	RX        float64 `csv:"rx"` // arc seconds, position-vector convention
	RY        float64 `csv:"ry"`
	RZ        float64 `csv:"rz"`
	S         float64 `csv:"s"`        // parts per million
	Accuracy  float64 `csv:"accuracy"` // metres
	Area      string  `csv:"area"`
	South     float64 `csv:"south"`
	West      float64 `csv:"west"`
	North     float64 `csv:"north"`
	East      float64 `csv:"east"`
	Countries string  `csv:"countries"` // ISO 3166 codes, parted by |
}

// utmCodes is a row of mappings/utm_codes.csv: a run of EPSG codes of UTM grids.
type utmCodes struct {
	First      int    `csv:"first"`
	Last       int    `csv:"last"`
	Zone       int    `csv:"zone"`
	Hemisphere string `csv:"hemisphere"`
	Datum      string `csv:"datum"`
}

// datumTables are the decoded tables, read once and never changed.
type datumTables struct {
	byName map[string]*datum
	all    []*datum
	utm    []utmCodes
}

var datums = sync.OnceValue(func() *datumTables {
	rows := schemas.Must(mappings.Table[datum]("datums.csv"))
	t := &datumTables{byName: map[string]*datum{}, utm: schemas.Must(mappings.Table[utmCodes]("utm_codes.csv"))}
	byCode := map[string]*datum{}
	for i := range rows {
		d := &rows[i]
		t.all = append(t.all, d)
		byCode[d.Code] = d
		for _, name := range append(strings.Split(d.Synonyms, "|"), d.Code, strings.TrimPrefix(d.Code, "EPSG:")) {
			key := foldName(name)
			if other, ok := t.byName[key]; ok && other != d {
				panic(fmt.Sprintf("datums.csv: %q names %s and %s", name, other.Code, d.Code))
			}
			t.byName[key] = d
		}
	}
	for _, s := range schemas.Must(mappings.Table[shift]("datum_shifts.csv")) {
		d, ok := byCode[s.Code]
		if !ok {
			panic("datum_shifts.csv: there is no datum " + s.Code)
		}
		d.shifts = append(d.shifts, s)
	}
	return t
})

// foldName brings names that differ in case, spaces, accents or punctuation to
// one key.
func foldName(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r = plainLetter(r); unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(unicode.ToLower(r))
		}
	}
	return b.String()
}

// reference is a stated datum or grid, resolved.
type reference struct {
	datum *datum
	zone  string // of a UTM grid given by its EPSG code, else ""
}

// KnownDatum reports whether a text names a geodetic datum, or a grid by its code.
func KnownDatum(text string) bool {
	_, ok := datums().resolve(text)
	return ok
}

// resolve finds a stated datum by name, synonym or EPSG code, or a UTM grid by
// its EPSG code.
func (t *datumTables) resolve(stated string) (reference, bool) {
	key := foldName(stated)
	if d, ok := t.byName[key]; ok {
		return reference{datum: d}, true
	}
	code, err := strconv.Atoi(strings.TrimPrefix(key, "epsg"))
	if err != nil {
		return reference{}, false
	}
	for _, u := range t.utm {
		if code >= u.First && code <= u.Last {
			hemisphere := "north"
			if u.Hemisphere == "S" {
				hemisphere = "south"
			}
			return reference{t.byName[foldName(u.Datum)], fmt.Sprintf("%d %s", u.Zone+code-u.First, hemisphere)}, true
		}
	}
	return reference{}, false
}
