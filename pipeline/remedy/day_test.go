package remedy

import (
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// What a spreadsheet program does to a number or a day does not change it.
func TestTheSameInAnotherForm(t *testing.T) {
	for _, c := range []struct {
		cell, found string
		want        bool
	}{
		{"73,9", "73.9", true}, {"62.0", "62", true}, {"007", "7", true}, {" in reeds", "in reeds", true},
		{"2023-05-14", "14 May 2023", true}, {"2023-05-14", "5/14/2023", true},
		{"73.9", "739", false}, {"2023-05-04", "4/5/2023", false}, {"reeds", "reed", false}, {"", "0", false}, {"34 g", "34", false},
	} {
		if got := same(c.cell, c.found); got != c.want {
			t.Errorf("%q and %q: %v", c.cell, c.found, got)
		}
	}
}

func sheetOf(rows ...string) *record.Sheet {
	s := &record.Sheet{}
	for i, text := range rows {
		row := record.Row{Number: i + 1}
		for k, cell := range strings.Split(text, "|") {
			row.Cells = append(row.Cells, record.Cell{Text: cell, Row: i + 1, Column: k + 1})
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

// Days are read in every form whose order the column decides.
func TestDaysOfDecisionsInAnyForm(t *testing.T) {
	const head = "file|row|column|found|action|replacement|who|when|why"
	for _, c := range []struct {
		when string
		want []string
	}{
		{"2024-09-02", []string{"2024-09-02"}},
		{"2 Sept 2024", []string{"2024-09-02"}},
		{"25.09.2024;02.09.2024", []string{"2024-09-25", "2024-09-02"}},
		{"9/25/2024;9/2/2024", []string{"2024-09-25", "2024-09-02"}},
		{"2/9/2024", nil}, // one of two days
		{"September 2024", nil},
	} {
		rows := []string{"# decided by the team", head}
		for _, when := range strings.Split(c.when, ";") {
			rows = append(rows, "frogs.csv|3|C|6O.7|replace|60.7|A. Moor|"+when+"|letter for digit")
		}
		got, err := ReadSheet(sheetOf(rows...), "remedies.xlsx")
		if c.want == nil {
			if err == nil || !strings.Contains(err.Error(), "remedies.xlsx, line 3, column when") {
				t.Errorf("%q: %v, %v", c.when, got, err)
			}
			continue
		}
		if err != nil || len(got) != len(c.want) {
			t.Errorf("%q: %v, %v", c.when, got, err)
			continue
		}
		for i, r := range got {
			if r.When != c.want[i] || r.Line != i+3 {
				t.Errorf("%q: %s in line %d, want %s", c.when, r.When, r.Line, c.want[i])
			}
		}
	}
}
