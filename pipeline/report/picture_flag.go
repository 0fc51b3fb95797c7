package report

import (
	"strings"

	"spadefoot/pipeline/record"
)

// unshown marks a flagged point whose entry the page doesn't show.
const unshown = -1

// flags knows which entry doubts a value of a capture: its number, 0 for none,
// or unshown.
type flags struct {
	cell  map[cellOf]int
	field map[fieldOf]int
	whole map[*record.Capture]int // the animal as a whole
	sized func(measurement string) bool
}

type cellOf struct {
	capture *record.Capture
	at      record.Address
}

type fieldOf struct {
	capture *record.Capture
	field   string
}

func flagsOf(entries []*entry, shown int, own *owners, sized func(string) bool) *flags {
	f := &flags{map[cellOf]int{}, map[fieldOf]int{}, map[*record.Capture]int{}, sized}
	for i, e := range entries {
		no := e.No
		if i >= shown {
			no = unshown
		}
		for _, finding := range e.Findings {
			f.take(finding, no, own, knownRules()[finding.Rule].Stage == "screen")
		}
	}
	return f
}

// take notes one finding. The entries come most consequential first, and the
// first that doubts a value keeps it.
func (f *flags) take(finding record.Finding, no int, own *owners, screened bool) {
	concerned := map[*record.Capture]bool{}
	for _, a := range append([]record.Address{finding.At}, finding.Also...) {
		c := own.of(a)
		if c == nil {
			continue
		}
		concerned[c] = true
		if a.Column > 0 {
			first(f.cell, cellOf{c, a}, no)
		}
	}
	if c := own.named(finding.Capture); c != nil && len(concerned) == 0 {
		concerned[c] = true
	}
	for c := range concerned {
		switch {
		case finding.Field != "":
			first(f.field, fieldOf{c, finding.Field}, no)
		case finding.At.Column == 0 && screened:
			first(f.whole, c, no)
		}
	}
}

func first[K comparable](m map[K]int, key K, no int) {
	if _, there := m[key]; !there {
		m[key] = no
	}
}

// least gives the first entry of several: the lowest number, then unshown,
// then none.
func least(a, b int) int {
	switch {
	case a == 0 || a == unshown && b > 0:
		return b
	case b > 0 && b < a:
		return b
	}
	return a
}

// cellNo is the entry that doubts a cell of a capture.
func (f *flags) cellNo(c *record.Capture, at record.Address) int {
	if at.Column == 0 {
		return 0
	}
	return f.cell[cellOf{c, at}]
}

// fieldNo is the entry that doubts a term or measurement of a capture.
func (f *flags) fieldNo(c *record.Capture, field string) int {
	no := f.field[fieldOf{c, field}]
	if v := c.Value(field); v != nil {
		no = least(no, f.cellNo(c, v.From))
	}
	return no
}

// Names of the masses of a weighing.
const (
	bodyMass  = "bodyMass"
	bagMass   = "bagMass"
	grossMass = "grossMass"
)

// readingNo is the entry that doubts a reading, or for the mass of the animal
// one of the readings behind it.
func (f *flags) readingNo(c *record.Capture, r *record.Reading) int {
	no := least(f.cellNo(c, r.From), f.field[fieldOf{c, r.Measurement}])
	if f.sized(r.Measurement) { // an animal is judged as a whole by its lengths and its mass
		no = least(no, f.whole[c])
	}
	if r.Measurement != bodyMass || c.Weighing == nil {
		return no
	}
	for _, name := range []string{grossMass, bagMass} {
		no = least(no, f.field[fieldOf{c, name}])
	}
	for _, part := range []*record.Reading{c.Weighing.Gross, c.Weighing.Tare, c.Weighing.Net} {
		if part != nil {
			no = least(no, f.cellNo(c, part.From))
		}
	}
	return no
}

// shortener abbreviates the genus of a name where no other name of the survey
// would look the same.
type shortener map[string]string

func shortenerOf(captures []*record.Capture) shortener {
	short := shortener{}
	users := map[string]map[string]bool{}
	for _, c := range captures {
		name := c.Get("scientificName")
		s := abbreviate(name)
		if users[s] == nil {
			users[s] = map[string]bool{}
		}
		users[s][name] = true
		short[name] = s
	}
	for name, s := range short {
		if len(users[s]) > 1 {
			short[name] = name
		}
	}
	return short
}

func abbreviate(name string) string {
	genus, rest, ok := strings.Cut(name, " ")
	if !ok || len(genus) < 3 || !strings.HasPrefix(capital(genus), genus) {
		return name
	}
	for _, r := range genus {
		return string(r) + ". " + rest
	}
	return name
}
