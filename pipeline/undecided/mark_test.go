package undecided

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

func at(column int) record.Address {
	return record.Address{File: "frogs.csv", Row: 2, Column: column}
}

var bag = record.Address{File: "bags.csv", Row: 4, Column: 2}

// frog is a capture with a date in column 2, its year in 3, a position in 4 and
// 5, a length in 6, a gross in 7, a tare in 8, an index of length and mass.
func frog(way record.WeighWay, tare record.Address) *record.Capture {
	gross := record.Reading{Series: &record.Series{Measurement: "grossMass"}, Number: 40, Text: "40", Verbatim: "40"}.At(at(7))
	bag := record.Reading{Series: &record.Series{Measurement: "bagMass"}, Number: 5, Text: "5", Verbatim: "5"}.At(tare)
	net := record.Reading{Series: &record.Series{Measurement: "bodyMass", Derived: true}, Number: 35, Text: "35"}.At(at(7))
	w := &record.Weighing{Way: way, Gross: &gross, Tare: &bag, Net: &net}
	return &record.Capture{File: "frogs.csv", Row: 2, Key: "F1", Weighing: w,
		Values: []record.Value{
			record.Value{Field: record.Of("recordNumber"), Text: "F1", Verbatim: "F1"}.At(at(1)),
			record.Value{Field: record.Of("eventDate"), Text: "2023-05-04", Verbatim: "4 May 2023"}.At(at(2)),
			record.Value{Field: record.Of("year"), Text: "2023", Verbatim: "2023"}.At(at(3)),
			record.Value{Field: record.Of("decimalLatitude"), Text: "45.4", Verbatim: "45.4"}.At(at(4)),
			record.Value{Field: record.Of("decimalLongitude"), Text: "-76.2", Verbatim: "-76.2"}.At(at(5)),
		},
		Readings: []record.Reading{
			record.Reading{Series: &record.Series{Measurement: "snoutVentLength"}, Number: 62, Text: "62", Verbatim: "62"}.At(at(6)),
			record.Reading{Series: &record.Series{Measurement: "bodyMass", Derived: true}, Number: 35, Text: "35"}.At(at(7)),
			{Series: &record.Series{Measurement: "scaledMassIndex", Derived: true}, Number: 34, Text: "34"},
		}}
}

// marked names what is marked, the weighing's parts with a w before them.
func marked(c *record.Capture) string {
	var out []string
	for _, v := range c.Values {
		if v.Undecided != "" {
			out = append(out, v.Term)
		}
	}
	for _, r := range c.Readings {
		if r.Undecided != "" {
			out = append(out, r.Measurement)
		}
	}
	for _, r := range []*record.Reading{c.Weighing.Gross, c.Weighing.Tare, c.Weighing.Net} {
		if r.Undecided != "" {
			out = append(out, "w "+r.Measurement)
		}
	}
	return strings.Join(out, ", ")
}

func TestAnErrorLeavesOutItsValueAndWhatFollowsFromIt(t *testing.T) {
	one := func(a record.Address, also ...record.Address) []record.Finding {
		return []record.Finding{{Rule: "slip", Level: record.Error, At: a, Also: also}}
	}
	for i, c := range []struct {
		found []record.Finding
		way   record.WeighWay
		tare  record.Address
		want  string
		count int
	}{
		{nil, record.SameRow, at(8), "", 0},
		{[]record.Finding{{Rule: "slip", Level: record.Warning, At: at(6)}}, record.SameRow, at(8), "", 0},
		{one(record.Address{File: "frogs.csv", Row: 2}), record.SameRow, at(8), "", 0},
		{one(at(1)), record.SameRow, at(8), "", 0}, // a name is not a measurement, date or position
		{one(at(2)), record.SameRow, at(8), "eventDate, year", 2},
		{one(at(3)), record.SameRow, at(8), "eventDate, year", 2},
		{one(at(5)), record.SameRow, at(8), "decimalLatitude, decimalLongitude", 2},
		{one(at(6)), record.SameRow, at(8), "snoutVentLength, scaledMassIndex", 2},
		{one(at(7)), record.SameRow, at(8), "bodyMass, scaledMassIndex, w grossMass, w bodyMass", 3},
		{one(at(8)), record.SameRow, at(8), "bodyMass, scaledMassIndex, w bagMass, w bodyMass", 3},
		{one(at(7), at(8)), record.SameRow, at(8), "bodyMass, scaledMassIndex, w grossMass, w bagMass, w bodyMass", 4},
		// A tare from a table is of many animals: an error on one of them does not touch it.
		{one(record.Address{File: "frogs.csv", Row: 9, Column: 7}, bag), record.BagTable, bag, "", 0},
		{one(at(7), bag), record.BagTable, bag, "bodyMass, scaledMassIndex, w grossMass, w bodyMass", 3},
		{one(bag), record.BagTable, bag, "bodyMass, scaledMassIndex, w bagMass, w bodyMass", 3},
		{one(record.Address{File: "frogs.csv", Row: 9, Column: 6}, at(6)), record.SameRow, at(8), "snoutVentLength, scaledMassIndex", 2},
		{[]record.Finding{{Rule: "slip", Level: record.Error, At: record.Address{File: "frogs.csv", Row: 1, Column: 6},
			Runs: []record.Run{{Address: record.Address{File: "frogs.csv", Row: 2, Column: 6}, Last: 9}}}}, record.SameRow, at(8), "snoutVentLength, scaledMassIndex", 2},
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			animal, cells := frog(c.way, c.tare), &Cells{}
			cells.Add(c.found)
			NewMarker(&Cells{}, cells).Mark(animal)
			if got := marked(animal); got != c.want {
				t.Errorf("marked %q, want %q", got, c.want)
			}
			if got := Count(animal); got != c.count {
				t.Errorf("counted %d, want %d", got, c.count)
			}
		})
	}
}

// What was written stays with the capture, whatever is marked.
func TestNothingWrittenIsTakenAway(t *testing.T) {
	c := frog(record.SameRow, at(8))
	before := slices.Clone(c.Values)
	cells := &Cells{}
	cells.Add([]record.Finding{{Rule: "slip", Level: record.Error, At: at(2), Also: []record.Address{at(4), at(6), at(7), at(8)}}})
	NewMarker(cells).Mark(c)
	for i, v := range c.Values {
		v.Vary(func(f *record.Field) { f.Undecided = "" })
		if d := cmp.Diff(before[i], v); d != "" {
			t.Error(d)
		}
	}
	if r := c.Readings[0]; r.Verbatim != "62" || r.Number != 62 || r.Undecided != "slip" {
		t.Errorf("the reading became %+v", r)
	}
}
