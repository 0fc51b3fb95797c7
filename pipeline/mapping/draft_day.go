package mapping

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
)

// daysInParts lists the terms whose columns, side by side, are the date of a capture
// that has no eventDate.
var daysInParts = [][]string{{"year", "month", "day"}, {"year", "startDayOfYear"}, {"verbatimEventDate"}}

// dated reports whether the draft gives captures a date: a column for it, or
// columns for its parts.
func (d *Draft) dated() bool {
	return d.Has("eventDate") || slices.ContainsFunc(daysInParts, func(parts []string) bool {
		return !slices.ContainsFunc(parts, func(term string) bool { return !d.Has(term) })
	})
}

// columnsOf returns the column of a term, or the columns of the parts of the date;
// nil where a table has neither.
func columnsOf(t *record.Table, term string) []int {
	if c := columnOf(t, term); c >= 0 {
		return []int{c}
	}
	if term != "eventDate" {
		return nil
	}
	for _, parts := range daysInParts {
		var columns []int
		for _, part := range parts {
			if c := columnOf(t, part); c >= 0 {
				columns = append(columns, c)
			}
		}
		if len(columns) == len(parts) {
			return columns
		}
	}
	return nil
}

// columnOf returns the first column of a term, -1 where there is none.
func columnOf(t *record.Table, term string) int {
	return slices.IndexFunc(t.Columns, func(c record.Column) bool { return c.Meaning.Term == term })
}

// textIn returns the text of a row in columns of columnsOf: a cell, or the day that
// its parts come to, as the standard writes it; "" where a part is missing.
func textIn(row record.TableRow, columns []int) string {
	text := func(i int) string { return strings.TrimSpace(row.Cells[columns[i]].Text) }
	if len(columns) == 1 {
		return text(0)
	}
	day := calendar.Day{Month: 1}
	day.Year, _ = calendar.Year(text(0), calendar.Options{})
	n, err := strconv.Atoi(text(len(columns) - 1))
	switch {
	case day.Year == 0 || err != nil:
		return ""
	case len(columns) == 2:
		day, _ = calendar.YearDay(day.Year, n)
	default:
		day.Month, day.Day = calendar.Month(text(1)), n
	}
	if !day.Valid() {
		return ""
	}
	return day.String()
}
