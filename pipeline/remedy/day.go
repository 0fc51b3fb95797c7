package remedy

import (
	"strconv"
	"strings"
	"time"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record/lines"
)

// dayOrder is the order of day and month in the column when.
func dayOrder(rows []lines.Row[bookLine]) calendar.Order {
	var e calendar.Evidence
	for i := range rows {
		e.Add(rows[i].Cells.When)
	}
	order, _ := e.Decide(calendar.Unknown)
	return order
}

// day returns a day as year-month-day, in whatever form it was written; what is
// not one day for certain stays as it is.
func day(text string, order calendar.Order) string {
	d := calendar.Parse(text, calendar.Options{Order: order})
	if d.Precision < calendar.ToDay || d.Start != d.End || len(d.ISO) < len(time.DateOnly) || d.Doubtful {
		return text
	}
	return d.ISO[:len(time.DateOnly)]
}

// same reports whether a cell holds what a remedy was made for. A spreadsheet
// program may have put a number or a day into its own form while the table
// of remedies went through it: the same number and the same day are the same.
func same(cell, found string) bool {
	cell, found = strings.TrimSpace(cell), strings.TrimSpace(found)
	if cell == found {
		return true
	}
	if a, ok := plainNumber(cell); ok {
		b, ok := plainNumber(found)
		return ok && a == b
	}
	a, b := calendar.Parse(cell, calendar.Options{}), calendar.Parse(found, calendar.Options{})
	return a.ISO != "" && a.ISO == b.ISO && a.Precision >= calendar.ToDay && !a.Doubtful && !b.Doubtful
}

// plainNumber reads digits with a point or a comma among them.
func plainNumber(text string) (float64, bool) {
	if text == "" || strings.Trim(text, "-0123456789.,") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return x, err == nil
}
