package layout_test

import (
	"strings"
	"testing"

	"spadefoot/pipeline/layout"
	"spadefoot/pipeline/record"
)

// merged makes a sheet of rows written with bars, with merged cells.
func merged(rows string, merges ...record.Rectangle) record.Sheet {
	s := record.Sheet{File: "toads.xlsx", Name: "May", Merges: merges}
	for i, line := range strings.Split(rows, "\n") {
		row := record.Row{Number: i + 1}
		for k, text := range strings.Split(line, "|") {
			c := record.Cell{Text: text, Row: i + 1, Column: k + 1, Kind: record.Text}
			if text == "" {
				c.Kind = record.Blank
			}
			row.Cells = append(row.Cells, c)
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

func column(t *record.Table, heading string) string {
	for k, c := range t.Columns {
		if c.Heading == heading {
			var out []string
			for _, r := range t.Rows {
				out = append(out, r.Cells[k].Text)
			}
			return strings.Join(out, "|")
		}
	}
	return "no such heading"
}

func TestCellsThatHoldForSeveralRows(t *testing.T) {
	for _, c := range []struct {
		name, rows    string
		merges        []record.Rectangle
		heading, want string
		rule          string
	}{
		{"merged dates", "Date|No|SVL\n3 May 2024|1|61\n|2|58\n4 May 2024|3|64\n5 May 2024|4|63", []record.Rectangle{{Top: 2, Left: 1, Bottom: 3, Right: 1}},
			"Date", "3 May 2024|3 May 2024|4 May 2024|5 May 2024", "merged-read"},
		{"merged headings are no value", "Date|No|SVL\n||mm\n3 May 2024|1|61\n|2|58\n|3|64", []record.Rectangle{{Top: 1, Left: 1, Bottom: 2, Right: 1}, {Top: 1, Left: 2, Bottom: 2, Right: 2}},
			"No", "1|2|3", ""},
		{"a group holds as far as it is merged", "|Carapace (cm)||||\nNo|long|wide|Mass (kg)|Sex|Notes\n1|27.8|20.1|2.1|F|\n2|19.0|15.2|1.2|M|claw lost", []record.Rectangle{{Top: 1, Left: 2, Bottom: 1, Right: 3}},
			"Mass (kg)", "2.1|1.2", ""},
		{"merged over rows and columns", "Date|No|SVL|Tibia\n3 May 2024|1|61|22\n3 May 2024|2|too small|\n3 May 2024|3||\n3 May 2024|4|60|21", []record.Rectangle{{Top: 3, Left: 3, Bottom: 4, Right: 4}},
			"SVL", "61|too small|too small|60", "merged-read"},
		{"animals as columns", "No|1|2|3|4\nDate|3 May 2024|||4 May 2024\nSex|F|M|M|F\nSVL|61|58|64|66\nTibia|22|21|23|24", []record.Rectangle{{Top: 2, Left: 2, Bottom: 2, Right: 4}},
			"Date", "3 May 2024|3 May 2024|3 May 2024|4 May 2024", "merged-read"},
		{"blanks under ditto marks", "Date|No|SVL\n3 May 2024|1|61\n\"|2|58\n|3|64\n|4|63\n4 May 2024|5|60\n|6|59\n5 May 2024|7|62\n\"|8|60", nil,
			"Date", "3 May 2024|3 May 2024|3 May 2024|3 May 2024|4 May 2024|4 May 2024|5 May 2024|5 May 2024", "ditto-read"},
		{"blanks under ditto marks of an animal's own value", "Date|No|Notes\n3 May 2024|1|tail short\n3 May 2024|2|\"\n3 May 2024|3|\n4 May 2024|4|", nil,
			"Notes", "tail short|tail short||", "ditto-read"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := merged(c.rows, c.merges...)
			tables, findings := layout.Find(s, layout.Options{})
			if len(tables) != 1 {
				t.Fatalf("%d tables", len(tables))
			}
			if got := column(&tables[0], c.heading); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			said := ""
			for _, f := range findings {
				if f.Rule == "merged-read" || f.Rule == "ditto-read" {
					said = f.Rule
				}
			}
			if said != c.rule {
				t.Errorf("said %q, want %q", said, c.rule)
			}
		})
	}
}
