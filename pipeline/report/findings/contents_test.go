package findings

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

func TestContents(t *testing.T) {
	capture := func() *record.Capture {
		gross := record.Reading{Series: &record.Series{Unit: "g"}, Text: "25"}.At(cellAt("frogs.csv", "", 3, 5))
		return &record.Capture{File: "frogs.csv", Row: 3,
			Values: []record.Value{
				record.Value{Field: record.Of("recordNumber"), Text: "7", Verbatim: "7"}.At(cellAt("frogs.csv", "", 3, 1)),
				record.Value{Field: record.Of("eventDate"), Text: "2024-05-02", Verbatim: "2 May"}.At(cellAt("frogs.csv", "", 3, 2)),
				record.Value{Field: record.Of("verbatimEventDate"), Text: "2 May"}.At(cellAt("frogs.csv", "", 3, 2)),
				record.Value{Field: record.Of("country"), Text: "Canada"}.At(record.Address{File: "survey.yaml"}),
			},
			Readings: []record.Reading{
				record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm"}, Text: "61.0"}.At(cellAt("frogs.csv", "", 3, 3)),
				record.Reading{Series: &record.Series{Measurement: "tibiaLength", Unit: "mm"}, State: record.Unread, Verbatim: " see book"}.At(cellAt("frogs.csv", "", 3, 4)),
				record.Reading{Series: &record.Series{Measurement: "bodyMass", Unit: "g", Derived: true}, Text: "20"}.At(cellAt("frogs.csv", "", 3, 5)),
			},
			Weighing: &record.Weighing{Gross: &gross},
			Extras:   []record.Extra{{Heading: "Mood", Text: "calm", From: cellAt("frogs.csv", "", 3, 6)}, {Heading: "Sky", Text: " "}},
		}
	}
	want := "(Mood)=calm\neventDate=2024-05-02\ngross 0=25 g\nrecordNumber=7\nsnoutVentLength 0=61 mm\ntibiaLength 0=see book mm"
	if got := Contents(capture()); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	moved := capture()
	slices.Reverse(moved.Values)
	slices.Reverse(moved.Readings)
	moved.File, moved.Sheet, moved.Row = "frogs.xlsx", "Spring", 9
	for i := range moved.Values {
		if moved.Values[i].From().Row > 0 {
			moved.Values[i] = moved.Values[i].At(cellAt("frogs.xlsx", "Spring", 9, i+1))
		}
	}
	for i := range moved.Readings {
		moved.Readings[i] = moved.Readings[i].At(cellAt("frogs.xlsx", "Spring", 9, 7+i))
	}
	*moved.Weighing.Gross = moved.Weighing.Gross.At(cellAt("frogs.xlsx", "Spring", 9, 12))
	if got := Contents(moved); got != want {
		t.Errorf("moved, it is\n%s", got)
	}
	if got := Contents(&record.Capture{File: "frogs.csv"}); got != "" {
		t.Errorf("nothing was written: %q", got)
	}
}
