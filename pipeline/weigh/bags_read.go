package weigh

import (
	"fmt"
	"io"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/lines"
)

// BagLine is one line of the table of bags.
type BagLine struct {
	Bag     string `csv:"bag"`
	Mass    string `csv:"mass"`
	Unit    string `csv:"unit"`
	Weighed string `csv:"weighed"` // ISO 8601 day
}

// ReadBags reads the masses of the empty bags.
func ReadBags(r io.Reader, name string) (BagTable, error) {
	rows, err := lines.Read[BagLine](r, name, lines.Columns{Needed: []string{"bag", "mass"}, Allowed: []string{"unit", "weighed"}})
	if err != nil {
		return BagTable{}, err
	}
	var bags []Bag
	for _, row := range rows {
		l := row.Cells
		unit := "g"
		if l.Unit != "" {
			var ok bool
			if unit, ok = quantity.FindUnit(l.Unit); !ok {
				return BagTable{}, &lines.Error{File: name, Line: row.Line, Column: "unit", Reason: fmt.Sprintf("found %q, which is not a unit known here", l.Unit)}
			}
		}
		q := quantity.Parse(l.Mass, quantity.Options{Unit: unit, Want: "mass"})
		mass, err := q.Reading("g", l.Mass)
		if q.State != record.Measured || err != nil || mass.Number <= 0 {
			return BagTable{}, &lines.Error{File: name, Line: row.Line, Column: "mass", Reason: fmt.Sprintf("found %q; give the mass of the empty bag as a number", l.Mass)}
		}
		mass.Vary(func(s *record.Series) { s.Measurement = BagMass })
		bags = append(bags, Bag{Label: l.Bag, From: l.Weighed, Mass: mass.At(record.Address{File: name, Row: row.Line, Column: 2})})
	}
	return NewBagTable(bags), nil
}
