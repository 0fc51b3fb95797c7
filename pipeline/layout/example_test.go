package layout_test

import (
	"fmt"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

func ExampleFind() {
	text := [][]string{
		{"Frogs of Marrow Creek"},
		{"Site: Tern Slough", "", "", "Observer: I. Varga"},
		{"No", "Date", "SVL", "Mass"},
		{"", "", "mm", "g"},
		{"1", "3 May 2021", "61", "20"},
		{"2", `"`, "58", "19"},
		{"mean", "", "59.5", "19.5"},
	}
	s := record.Sheet{File: "creek.csv"}
	for i, line := range text {
		r := record.Row{Number: i + 1}
		for k, cell := range line {
			r.Cells = append(r.Cells, record.Cell{Text: cell, Kind: record.Text, Row: i + 1, Column: k + 1})
		}
		s.Rows = append(s.Rows, r)
	}

	tables, findings := layout.Find(s, layout.Options{})
	for _, t := range tables {
		for _, l := range t.Labels {
			fmt.Printf("label %q: %s\n", l.Name, l.Cell.Text)
		}
		for _, c := range t.Columns {
			fmt.Printf("column %q, unit %q\n", c.Heading, c.Unit)
		}
		for _, r := range t.Rows {
			fmt.Println("row", r.Number, "caught", r.Cells[1].Text, "carried", r.Cells[1].Carried)
		}
	}
	for _, f := range findings {
		fmt.Printf("%s: %s: %s\n", f.At, f.Rule, f.Value)
	}
	// Output:
	// label "": Frogs of Marrow Creek
	// label "Site": Tern Slough
	// label "Observer": I. Varga
	// column "No", unit ""
	// column "Date", unit ""
	// column "SVL", unit "mm"
	// column "Mass", unit "g"
	// row 5 caught 3 May 2021 carried false
	// row 6 caught 3 May 2021 carried true
	// creek.csv, B6: ditto-read: "
	// creek.csv, row 7: row-summary: mean | 59.5 | 19.5
}
