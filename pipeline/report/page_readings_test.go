package report

import (
	"testing"

	"spadefoot/pipeline/record"
)

func TestReadingCount(t *testing.T) {
	in := func(measurement, undecided string, column int) *record.Series {
		return &record.Series{Measurement: measurement, Undecided: undecided, Column: record.Address{File: "a.csv", Column: column}}
	}
	gross := record.Reading{Series: in("grossMass", "", 5), Row: 2, Number: 30}
	c := &record.Capture{
		Readings: []record.Reading{
			{Series: in("snoutVentLength", "", 3), Row: 2, Number: 512}, // two readings in one cell
			{Series: in("tailLength", "", 3), Row: 2, Number: 131},
			{Series: in("headWidth", "value-far", 4), Row: 2, Number: 200},
			gross, // and a reading of the scale
			{Series: in("bagMass", "", 6), Row: 2, State: record.Missing},
			{Series: in("footLength", "", 7), Row: 2, State: record.Unread},
			{Series: &record.Series{Measurement: "bodyMass", Derived: true}, Number: 24},
			{Series: &record.Series{Measurement: "bodyMass", Derived: true, Undecided: "value-off-line"}, Number: 24},
		},
		Weighing: &record.Weighing{Gross: &gross, Net: &record.Reading{Series: in("bodyMass", "", 8), Row: 2, Number: 24}},
	}
	var got ReadingCount
	got.Add(c)
	if want := (ReadingCount{Understood: 5, Missing: 1, Unread: 1, Undecided: 1, Made: 1}); got != want {
		t.Errorf("%+v, not %+v", got, want)
	}
	if got.Join(&got); got.All() != 14 || got.Undecided != 2 {
		t.Errorf("%+v", got)
	}
}
