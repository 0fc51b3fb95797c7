package report_test

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
)

func asIs(names []string) []string { return names }

// mixedCaptures hold different things in different orders, some twice.
func mixedCaptures() []*record.Capture {
	a := &record.Capture{Key: "A", File: "a.csv", Row: 2, ID: "urn:a", Values: []record.Value{
		{Field: record.Of("sex"), Text: "female", Verbatim: "F"}, {Field: record.Of("locality"), Text: `Mill "Pond"`, Verbatim: `Mill "Pond"`}},
		Readings: []record.Reading{{Series: &record.Series{Measurement: "tibiaLength", Unit: "mm", Replicate: 1}, Text: "20.5", Verbatim: "20,5"},
			{Series: &record.Series{Measurement: "tibiaLength", Unit: "mm", Replicate: 2, Undecided: "value-off-line"}, Text: "20.6", Verbatim: "20.6"},
			{Series: &record.Series{Measurement: "bodyMass", Unit: "g"}, State: record.Missing, Verbatim: "n/a"}},
		Extras: []record.Extra{{Heading: "Mood, of the frog", Text: "calm"}}}
	b := &record.Capture{Key: "B", File: "a.csv", Sheet: "Spring", Row: 3, ID: "urn:b", Values: []record.Value{
		{Field: record.Of("locality"), Text: "Pond,\nold", Verbatim: "Pond,\nold"}, {Field: record.Of("eventDate"), Text: "2024-05-01"}, {Field: record.Of("sex"), Text: "male", Verbatim: "male"}},
		Readings: []record.Reading{{Series: &record.Series{Measurement: "tibiaLength", Observer: "A. Holm", Unit: "mm"}, Text: "21"}, {Series: &record.Series{Measurement: "tibiaLength", Unit: "mm", Replicate: 2}, Text: "22", Verbatim: "22"},
			{Series: &record.Series{Measurement: "tibiaLength", Unit: "mm", Replicate: 2}, Text: "9", Verbatim: "9"}},
		Weighing: &record.Weighing{Gross: &record.Reading{Series: &record.Series{Measurement: "grossMass", Unit: "g"}, Text: "30", Verbatim: "30"}}}
	return []*record.Capture{a, b, {Key: "", File: "a.csv", Row: 4}}
}

const mixedTable = `capture,file,sheet,row,errors,warnings,undecided,eventDate,locality,sex,sex as written,bodyMass (g),bodyMass as written,grossMass (g),tibiaLength 1 (mm),tibiaLength 1 as written,tibiaLength 2 (mm),tibiaLength by A. Holm (mm),"Mood, of the frog",occurrenceID
A,a.csv,,2,1,2,tibiaLength: 20.6 (value-off-line),,"Mill ""Pond""",female,F,,n/a,,20.5,"20,5",,,calm,urn:a
B,a.csv,Spring,3,0,0,,2024-05-01,"Pond,
old",male,male,,,30,,,22,21,,urn:b
,a.csv,,4,0,0,,,,,,,,,,,,,,
`

func TestCapturesCSV(t *testing.T) {
	all := []record.Finding{{Capture: "A", Level: record.Error}, {Capture: "A", Level: record.Warning}, {Capture: "A", Level: record.Warning}, {Level: record.Error}}
	counts := findings.CountByCapture(slices.Values(all))
	var got bytes.Buffer
	if err := report.CapturesCSV(&got, mixedCaptures(), counts, asIs, asIs); err != nil {
		t.Fatal(err)
	}
	if got.String() != mixedTable {
		t.Errorf("got\n%s\nwant\n%s", got.String(), mixedTable)
	}
	rows, err := csv.NewReader(strings.NewReader(got.String())).ReadAll()
	if err != nil || len(rows) != 4 {
		t.Errorf("%d rows read back: %v", len(rows), err)
	}
	// Columns of parts, merged, are the columns of all.
	var columns report.Columns
	for _, c := range mixedCaptures() {
		var part report.Columns
		part.Add(c)
		columns.Join(&part)
	}
	table := columns.Table(asIs, asIs)
	text, maker := table.Header(), table.Rows()
	for _, c := range mixedCaptures() {
		text = maker.Append(text, c, counts(c))
	}
	if string(text) != mixedTable {
		t.Errorf("in parts\n%s\nwant\n%s", text, mixedTable)
	}
}

// Known columns cost nothing to find again.
func TestCapturesCSVAllocates(t *testing.T) {
	captures := season(200).Captures
	var columns report.Columns
	for _, c := range captures {
		columns.Add(c)
	}
	rows, row := columns.Table(asIs, asIs).Rows(), []byte(nil)
	if n := testing.AllocsPerRun(20, func() {
		for _, c := range captures {
			columns.Add(c)
		}
	}); n > 0 {
		t.Errorf("gathering 200 captures allocates %.0f times", n)
	}
	if n := testing.AllocsPerRun(20, func() {
		for _, c := range captures {
			row = rows.Append(row[:0], c, findings.Counts{})
		}
	}); n > 20 {
		t.Errorf("writing 200 captures allocates %.0f times", n)
	}
}

// A row ends with what the capture is published under, which the sheet may give.
func TestCapturesCSVIdentifiers(t *testing.T) {
	captures := []*record.Capture{
		{Key: "A", File: "a.csv", Row: 2, ID: "made", Values: []record.Value{{Field: record.Of("occurrenceID"), Text: "urn:catalog:MC:7", Verbatim: "urn:catalog:MC:7"}}},
		{Key: "B", File: "a.csv", Row: 3, ID: "made too"},
	}
	want := "capture,file,sheet,row,errors,warnings,undecided,occurrenceID\nA,a.csv,,2,0,0,,urn:catalog:MC:7\nB,a.csv,,3,0,0,,made too\n"
	var got bytes.Buffer
	none := func(*record.Capture) findings.Counts { return findings.Counts{} }
	if err := report.CapturesCSV(&got, captures, none, asIs, asIs); err != nil || got.String() != want {
		t.Errorf("%v\ngot\n%s\nwant\n%s", err, got.String(), want)
	}
}
