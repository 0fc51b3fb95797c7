package weigh

import (
	"testing"

	"spadefoot/pipeline/record"
)

func bags(t *testing.T) BagTable {
	return NewBagTable([]Bag{
		{Label: "B 12", Mass: *mass(t, BagMass, "4.5", 2), From: "2021-07-01"},
		{Label: "B 12", Mass: *mass(t, BagMass, "4.0", 2), From: "2021-05-01"},
		{Label: "B13", Mass: *mass(t, BagMass, "5.0", 2)},
		{Label: "B14", Mass: *mass(t, BagMass, "n/a", 2)},
	})
}

func TestBagTable(t *testing.T) {
	for _, c := range []struct{ label, date, want, findings string }{
		{"B 12", "2021-06-03", "bodyMass measured 29.5 ±0.41", ""},
		{"b12", "2021-06-03", "bodyMass measured 29.5 ±0.41", ""},
		{" B12 ", "2021-07-01", "bodyMass measured 29.0 ±0.41", ""},
		{"B12", "2021-08-15T21:30-04:00", "bodyMass measured 29.0 ±0.41", ""},
		{"B12", "2021-06-30/2021-07-02", "bodyMass measured 29.5 ±0.41", ""},
		{"B12", "2021-04-03", "bodyMass doubtful 29.5 ±0.41", ruleBagLater},
		{"B12", "", "bodyMass measured 29.5 ±0.41", ""},
		{"B12", "2021", "bodyMass measured 29.0 ±0.41", ""},
		{"B13", "1999-01-01", "bodyMass measured 28.5 ±0.41", ""},
		{"B14", "2021-06-03", "grossMass measured 33.5 ±0.29", ruleTareMissing},
		{"B99", "2021-06-03", "grossMass measured 33.5 ±0.29", ruleBagUnknown + " " + ruleTareMissing},
		{"", "2021-06-03", "grossMass measured 33.5 ±0.29", ruleTareMissing},
	} {
		x := capture(t, record.BagTable, "33.5", "nil", "nil")
		x.Weighing.BagLabel = c.label
		x.Weighing.Bag = record.Address{File: "frogs.csv", Row: 7, Column: 6}
		x.Set(record.Value{Field: record.Of("eventDate"), Text: c.date})
		fs := Weigh(x, bags(t), Settings{Instruments: scales})
		if outcome(x) != c.want || codes(fs) != c.findings {
			t.Errorf("bag %q on %q: %q %q, want %q %q", c.label, c.date, outcome(x), codes(fs), c.want, c.findings)
		}
		if len(fs) > 0 && fs[0].Field == record.Bag && (fs[0].At.Column != 6 || fs[0].Value != c.label) {
			t.Errorf("bag %q: %+v", c.label, fs[0])
		}
	}
}

// The table is shared by every capture and must not be changed by one.
func TestBagTableStays(t *testing.T) {
	table := bags(t)
	for range 2 {
		x := capture(t, record.BagTable, "33.5", "nil", "nil")
		x.Weighing.BagLabel = "B12"
		x.Set(record.Value{Field: record.Of("eventDate"), Text: "2021-04-03"})
		if fs := Weigh(x, table, Settings{Instruments: scales}); codes(fs) != ruleBagLater {
			t.Fatal(fs)
		}
	}
	if b, late, ok := table.Find("B12", "2021-06-03"); !ok || late || b.Mass.State != record.Measured || b.Mass.Number != 4 {
		t.Errorf("%+v %v %v", b, late, ok)
	}
}

// A tare in the row goes before the table.
func TestBagTableBesideTare(t *testing.T) {
	x := capture(t, record.BagTable, "33.5", "6.0", "nil")
	x.Weighing.BagLabel = "B12"
	if Weigh(x, bags(t), Settings{Instruments: scales}); outcome(x) != "bodyMass measured 27.5 ±0.41" {
		t.Error(outcome(x))
	}
}
