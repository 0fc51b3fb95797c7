package remedy_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
)

func column(heading string, m record.Meaning) record.Column {
	return record.Column{Heading: heading, Meaning: m}
}

// sheet lays texts out as a table of june.csv that begins in row 2, with the
// number of the capture in column A.
func sheet(columns []record.Column, rows ...[]string) *record.Table {
	t := &record.Table{File: "june.csv", Index: 1, Columns: columns, HeadingRows: []int{1}}
	for i := range columns {
		columns[i].Number = i + 1
	}
	for i, texts := range rows {
		r := record.TableRow{Number: i + 2}
		for k, text := range texts {
			kind := record.Text
			if text == "" {
				kind = record.Blank
			}
			r.Cells = append(r.Cells, record.Cell{Text: text, Kind: kind, Row: i + 2, Column: k + 1})
		}
		t.Rows = append(t.Rows, r)
	}
	return t
}

func frogs() *record.Table {
	return sheet([]record.Column{
		column("No", record.Meaning{Role: record.Term, Term: "recordNumber"}),
		column("Site", record.Meaning{Role: record.Term, Term: "locality"}),
		column("Sex", record.Meaning{Role: record.Term, Term: "sex"}),
		column("SVL 1", record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength", Replicate: 1}),
		column("SVL 2", record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength", Replicate: 2}),
		column("Bag (g)", record.Meaning{Role: record.WeighPart, Part: record.Tare}),
	},
		[]string{"MC-1", "Tern Slough", "q", "61.9", "61.8", "4.5"},
		[]string{"MC-2", "Alder Seep", "M", "57.5", "57.5", "4.5"},
		[]string{"MC-3", "Alder Seep", "F", "73.9", "37.9", ""},
		[]string{"MC-3", "Alder Seep", "F", "40.0", "40.1", "5.0"},
	)
}

func cells(t *record.Table) *remedy.Cells {
	keys := make([][]string, len(t.Rows))
	for i, r := range t.Rows {
		keys[i] = []string{r.Cells[0].Text}
	}
	return remedy.NewCells([]remedy.Grid{{Table: t, Keys: keys}}, nil)
}

func at(row, column int) record.Address {
	return record.Address{File: "june.csv", Row: row, Column: column}
}

func decided(r remedy.Remedy) remedy.Remedy {
	r.File, r.Who, r.When, r.Why = "remedies.csv", "I. Varga", "2024-09-02", "field book"
	if r.Line == 0 {
		r.Line = 2
	}
	return r
}

func TestApply(t *testing.T) {
	tests := []struct {
		what      string
		r         remedy.Remedy
		at        record.Address // of the one cell that changes; zero for none
		text      string
		wrong     string // part of the error
		unmatched string // part of the finding
	}{
		{what: "by address", r: remedy.Remedy{At: at(2, 3), Found: "q", Action: remedy.Replace, Replacement: "M"}, at: at(2, 3), text: "M"},
		{what: "white space does not matter", r: remedy.Remedy{At: at(2, 3), Found: " q ", Action: remedy.Replace, Replacement: "M"}, at: at(2, 3), text: "M"},
		{what: "cleared", r: remedy.Remedy{At: at(2, 3), Found: "q", Action: remedy.Clear}, at: at(2, 3)},
		{what: "a blank is filled", r: remedy.Remedy{At: at(4, 6), Found: "", Action: remedy.Replace, Replacement: "5.0"}, at: at(4, 6), text: "5.0"},
		{what: "by capture and term", r: remedy.Remedy{Capture: "mc-1", Field: "sex", Found: "q", Action: remedy.Replace, Replacement: "M"}, at: at(2, 3), text: "M"},
		{what: "by capture and heading", r: remedy.Remedy{Capture: "MC-1", Field: "bag (g)", Found: "4.5", Action: remedy.Replace, Replacement: "5.5"}, at: at(2, 6), text: "5.5"},
		{what: "by capture and mass", r: remedy.Remedy{Capture: "MC-1", Field: "bagMass", Found: "4.5", Action: remedy.Replace, Replacement: "5.5"}, at: at(2, 6), text: "5.5"},
		{what: "by capture and column", r: remedy.Remedy{Capture: "MC-1", At: record.Address{Column: 3}, Found: "q", Action: remedy.Clear}, at: at(2, 3)},
		{what: "the replicate decides", r: remedy.Remedy{Capture: "MC-2", Field: "snoutVentLength 2", Found: "57.5", Action: remedy.Replace, Replacement: "57.6"}, at: at(3, 5), text: "57.6"},
		{what: "the text decides", r: remedy.Remedy{Capture: "MC-1", Field: "snoutVentLength", Found: "61.8", Action: remedy.Replace, Replacement: "61.7"}, at: at(2, 5), text: "61.7"},
		{what: "the text decides between captures with one key", r: remedy.Remedy{Capture: "MC-3", Field: "snoutVentLength", Found: "40.0", Action: remedy.Replace, Replacement: "40.2"}, at: at(5, 4), text: "40.2"},
		{what: "the address decides", r: remedy.Remedy{At: at(3, 4), Capture: "MC-2", Field: "snoutVentLength", Found: "57.5", Action: remedy.Replace, Replacement: "57.6"}, at: at(3, 4), text: "57.6"},
		{what: "a row that moved is found by its key", r: remedy.Remedy{At: at(9, 3), Capture: "MC-1", Field: "sex", Found: "q", Action: remedy.Clear}, at: at(2, 3)},

		{what: "another text by address", r: remedy.Remedy{At: at(2, 3), Found: "x", Action: remedy.Clear}, wrong: `remedies.csv, line 2: june.csv, C2 holds "q", but the remedy was made for "x"`},
		{what: "another text by capture", r: remedy.Remedy{Capture: "MC-1", Field: "sex", Found: "x", Action: remedy.Clear}, wrong: `june.csv, C2 holds "q", but the remedy was made for "x"`},
		{what: "two cells with the text", r: remedy.Remedy{Capture: "MC-2", Field: "snoutVentLength", Found: "57.5", Action: remedy.Clear}, wrong: "2 cells of capture MC-2 hold the text found in the field snoutVentLength (june.csv, D3; june.csv, E3)"},
		{what: "a place is not quoted", r: remedy.Remedy{At: at(2, 2), Found: "Old Ferry", Action: remedy.Clear}, wrong: "the texts are not shown"},

		{what: "no such row", r: remedy.Remedy{At: at(99, 3), Found: "q", Action: remedy.Clear}, unmatched: "there is no table cell at june.csv, C99"},
		{what: "no such file", r: remedy.Remedy{At: record.Address{File: "july.csv", Row: 2, Column: 3}, Found: "q", Action: remedy.Clear}, unmatched: "july.csv, C2"},
		{what: "no such capture", r: remedy.Remedy{Capture: "MC-9", Field: "sex", Found: "q", Action: remedy.Clear}, unmatched: `no capture has the key "MC-9"`},
		{what: "no such field", r: remedy.Remedy{Capture: "MC-1", Field: "colour", Found: "q", Action: remedy.Clear}, unmatched: `no cell for the field "colour"`},
	}
	for _, tt := range tests {
		table, before := frogs(), frogs()
		out, err := remedy.Apply([]remedy.Remedy{decided(tt.r)}, cells(table), remedy.Options{
			Secret: func(c *record.Column) bool { return c.Meaning.Term == "locality" }})
		if tt.wrong != "" {
			var ms remedy.Mismatches
			if !errors.As(err, &ms) || !strings.Contains(err.Error(), tt.wrong) || !strings.Contains(err.Error(), "no remedy was applied") ||
				strings.Contains(err.Error(), "Tern") || strings.Contains(err.Error(), "Ferry") {
				t.Errorf("%s: error %v, want …%s…", tt.what, err, tt.wrong)
			}
		} else if err != nil {
			t.Errorf("%s: %v", tt.what, err)
			continue
		} else if tt.unmatched != "" {
			if len(out.Findings) != 1 || out.Findings[0].Rule != "remedy-unmatched" || !strings.Contains(out.Findings[0].Reason, tt.unmatched) || out.Findings[0].At.Row != 2 {
				t.Errorf("%s: %+v", tt.what, out.Findings)
			}
		}
		for i := range table.Rows {
			for k, c := range table.Rows[i].Cells {
				old := before.Rows[i].Cells[k]
				if table.Address(c) == tt.at {
					if c.Text != tt.text || !c.Remedied || c.Written() != old.Text || c.Verbatim() != old.Text || (c.Kind == record.Blank) != (tt.text == "") {
						t.Errorf("%s: %+v", tt.what, c)
					}
				} else if c != old {
					t.Errorf("%s changed %s: %+v", tt.what, table.Address(c), c)
				}
			}
		}
	}
}

// If one remedy does not fit, none is applied, and all that do not fit are reported.
func TestApplyIsAllOrNothing(t *testing.T) {
	table := frogs()
	_, err := remedy.Apply([]remedy.Remedy{
		decided(remedy.Remedy{Line: 2, At: at(2, 3), Found: "q", Action: remedy.Replace, Replacement: "M"}),
		decided(remedy.Remedy{Line: 3, At: at(3, 3), Found: "F", Action: remedy.Clear}),
		decided(remedy.Remedy{Line: 4, Capture: "MC-1", Field: "sex", Found: "q", Action: remedy.Clear}),
		decided(remedy.Remedy{Line: 5, At: at(4, 3), Found: "M", Action: remedy.Clear}),
	}, cells(table), remedy.Options{})
	for _, want := range []string{"line 3: june.csv, C3", "line 4: changes june.csv, C2, and so does remedies.csv, line 2", "line 5: june.csv, C4"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v lacks %q", err, want)
		}
	}
	if got := table.Rows[0].Cells[2]; got.Text != "q" || got.Remedied {
		t.Errorf("%+v", got)
	}
}

// A text that stands for the rows below it, or above a whole table, is
// replaced wherever it was carried to.
func TestApplyFollowsCarriedTexts(t *testing.T) {
	table := frogs()
	for i, text := range []string{"Turn Slough", "Turn Slough", "Turn Slough", "Alder Seep"} {
		table.Rows[i].Cells[1].Text = text
		table.Rows[i].Cells[1].Carried = i == 1 || i == 2
	}
	out, err := remedy.Apply([]remedy.Remedy{decided(remedy.Remedy{At: at(2, 2), Found: "Turn Slough", Action: remedy.Replace, Replacement: "Tern Slough"})},
		cells(table), remedy.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, r := range table.Rows {
		got = append(got, r.Cells[1].Text)
	}
	if want := []string{"Tern Slough", "Tern Slough", "Tern Slough", "Alder Seep"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if a := out.Applied()[0]; len(a.Rows) != 3 || len(a.Also) != 2 || a.Before != "Turn Slough" || a.Field != "locality" {
		t.Errorf("%+v", a)
	}

	table = frogs()
	for i := range table.Rows { // a label above the table: one cell, in every row
		table.Rows[i].Cells[1] = record.Cell{Text: "Turn Slough", Kind: record.Text, Row: 1, Column: 9, Carried: true}
	}
	out, err = remedy.Apply([]remedy.Remedy{decided(remedy.Remedy{At: at(1, 9), Found: "Turn Slough", Action: remedy.Replace, Replacement: "Tern Slough"})},
		cells(table), remedy.Options{})
	if err != nil || len(out.Applied()[0].Rows) != 4 || len(out.Applied()[0].Also) != 0 {
		t.Fatalf("%+v, %v", out, err)
	}
	for _, r := range table.Rows {
		if r.Cells[1].Text != "Tern Slough" || r.Cells[1].Verbatim() != "Turn Slough" {
			t.Errorf("%+v", r.Cells[1])
		}
	}
}

// Where each row is one measurement, the name beside the value is the field.
func TestApplyOneMeasurementPerRow(t *testing.T) {
	table := sheet([]record.Column{
		column("No", record.Meaning{Role: record.Term, Term: "recordNumber"}),
		column("What", record.Meaning{Role: record.NameColumn}),
		column("Value", record.Meaning{Role: record.ValueColumn}),
	}, []string{"MC-1", "SVL", "61.9"}, []string{"MC-1", "tibia", "61.9"})
	c := remedy.NewCells([]remedy.Grid{{Table: table, Keys: [][]string{{"MC-1"}, {"MC-1"}}}}, func(s string) (string, bool) {
		m, ok := map[string]string{"SVL": "snoutVentLength", "tibia": "tibiaLength"}[s]
		return m, ok
	})
	out, err := remedy.Apply([]remedy.Remedy{decided(remedy.Remedy{Capture: "MC-1", Field: "tibiaLength", Found: "61.9", Action: remedy.Replace, Replacement: "31.9"})}, c, remedy.Options{})
	if err != nil || table.Rows[1].Cells[2].Text != "31.9" || table.Rows[0].Cells[2].Text != "61.9" || out.Applied()[0].Field != "tibiaLength" {
		t.Errorf("%+v %+v %v", table.Rows, out, err)
	}
}

func TestUndecidedRowsDoNothing(t *testing.T) {
	table := frogs()
	out, err := remedy.Apply([]remedy.Remedy{
		{Line: 2, At: at(2, 3), Found: "q", Replacement: "M", Rule: "word-unknown"},
		{Line: 3, At: at(99, 3), Found: "never looked at"},
	}, cells(table), remedy.Options{})
	if err != nil || len(out.Applied()) != 0 || table.Rows[0].Cells[2].Text != "q" {
		t.Fatalf("%+v, %v", out, err)
	}
	if len(out.Findings) != 1 || out.Findings[0].Rule != "remedy-undecided" || out.Findings[0].At.Row != 2 || len(out.Findings[0].Also) != 1 {
		t.Errorf("%+v", out.Findings)
	}
}

func ExampleApply() {
	table := sheet([]record.Column{
		column("No", record.Meaning{Role: record.Term, Term: "recordNumber"}),
		column("SVL", record.Meaning{Role: record.Measurement, Measurement: "snoutVentLength"}),
	}, []string{"MC-1", "618"})
	rs, _ := remedy.Read(strings.NewReader("capture,field,found,action,replacement,who,when,why\nMC-1,snoutVentLength,618,replace,61.8,I. Varga,2024-09-02,point left out\n"), "remedies.csv")
	out, err := remedy.Apply(rs, remedy.NewCells([]remedy.Grid{{Table: table, Keys: [][]string{{"MC-1"}}}}, nil), remedy.Options{})
	fmt.Println(table.Rows[0].Cells[1].Text, table.Rows[0].Cells[1].Verbatim(), err)
	fmt.Println(out.Applied()[0].Done())
	// Output:
	// 61.8 618 <nil>
	// snoutVentLength: "618" written (june.csv, B2), replaced with "61.8" by I. Varga on 2024-09-02: point left out
}
