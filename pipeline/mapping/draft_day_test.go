package mapping

import (
	"testing"

	"spadefoot/pipeline/record"
)

func TestDateOfParts(t *testing.T) {
	for _, c := range []struct {
		terms, cells []string
		want         string
	}{
		{[]string{"eventDate"}, []string{"3 May 2021"}, "3 May 2021"}, // as it is written
		{[]string{"year", "month", "day"}, []string{"2021", "5", " 3 "}, "2021-05-03"},
		{[]string{"day", "month", "year"}, []string{"3", "May", "2021"}, "2021-05-03"},
		{[]string{"year", "startDayOfYear"}, []string{"2021", "123"}, "2021-05-03"},
		{[]string{"eventDate", "year", "month", "day"}, []string{"4/5/21", "2021", "5", "3"}, "4/5/21"},
		{[]string{"year", "month", "day"}, []string{"2021", "2", "30"}, ""},
		{[]string{"year", "month", "day"}, []string{"2021", "", "3"}, ""},
		{[]string{"year", "month", "day"}, []string{"2021", "5", "?"}, ""},
		{[]string{"year", "startDayOfYear"}, []string{"2021", "366"}, ""},
		{[]string{"verbatimEventDate"}, []string{"3 May 2021"}, "3 May 2021"},
		{[]string{"verbatimEventDate", "year", "month", "day"}, []string{"Monday", "2021", "5", "3"}, "2021-05-03"},
		{[]string{"year", "month"}, []string{"2021", "5"}, "none"},
	} {
		var table record.Table
		var row record.TableRow
		for i, term := range c.terms {
			table.Columns = append(table.Columns, record.Column{Meaning: record.Meaning{Role: record.Term, Term: term}})
			row.Cells = append(row.Cells, record.Cell{Text: c.cells[i]})
		}
		got := "none"
		if columns := columnsOf(&table, "eventDate"); columns != nil {
			got = textIn(row, columns)
		}
		if got != c.want {
			t.Errorf("%v %q: %q, not %q", c.terms, c.cells, got, c.want)
		}
	}
}
