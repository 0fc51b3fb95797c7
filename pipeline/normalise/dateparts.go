package normalise

import (
	"strconv"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
)

// isDatePart lists the terms that are parts of a date.
func isDatePart(term string) bool { return term == "year" || term == "month" || term == "day" }

// datePart reads a year, a month or a day of a column of its own: months by
// their names too, and years of two digits. What else there may be is read as
// any number.
func (r *row) datePart(i int, col *column, c *record.Cell) {
	n := 0
	switch col.slot {
	case tYear:
		var problems []record.Problem
		n, problems = calendar.Year(c.Text, r.dateOptions(i, c))
		r.problems(problems, c, col.Meaning.Term)
	case tMonth:
		n = calendar.Month(c.Text)
	}
	if n == 0 {
		r.numeral(i, col, c)
		return
	}
	r.put(col.slot, strconv.Itoa(n), c.Verbatim(), r.at(c))
}

// joinDate makes the date of a capture whose year, month and day, or year and
// day of the year, stand in columns of their own. A date that is written as one
// wins, and a month goes before a day of the year.
func (r *row) joinDate() {
	if r.dated() {
		return
	}
	year := r.value(tYear)
	y, ok := r.wholePart(tYear)
	if !ok || y == 0 {
		return
	}
	m, okMonth := r.wholePart(tMonth)
	d, okDay := r.wholePart(tDay)
	if !okMonth {
		m = 0 // the cell has its finding, and the year stays certain
	}
	if !okDay {
		d = 0
	}
	parts, remark := []slot{tMonth, tDay}, "from the columns of year, month and day"
	if n, ok := r.wholePart(tStartDayOfYear); ok && m == 0 && d == 0 {
		if day, ok := calendar.YearDay(y, n); ok {
			m, d = day.Month, day.Day
			parts, remark = []slot{tStartDayOfYear}, "from the columns of year and day of the year"
		}
	}
	o := calendar.Options{FirstYear: r.columns.first, LastYear: r.columns.last, From: r.x.First, To: r.x.Last}
	date := calendar.FromParts(y, m, d, o)
	from, text := year.From(), year.Verbatim
	for _, s := range parts {
		if v := r.value(s); v != nil && v.Verbatim != "" {
			text += " " + v.Verbatim
		}
	}
	for _, p := range date.Problems {
		r.findings = append(r.findings, p.Finding(from, "eventDate", text))
	}
	if date.ISO == "" {
		return
	}
	v := r.put(tEventDate, date.ISO, "", from)
	v.Vary(func(f *record.Field) { f.Remark, f.Wrong = remark, date.Wrong })
}

// wholePart returns a part of a date as a whole number, 0 where none is written.
// It is not ok where something else is.
func (r *row) wholePart(s slot) (n int, ok bool) {
	v := r.value(s)
	if v == nil || v.Text == "" {
		return 0, v == nil || v.Verbatim == ""
	}
	n, err := strconv.Atoi(v.Text)
	return n, err == nil && n >= 0
}
