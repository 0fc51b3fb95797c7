package normalise

import (
	"strconv"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
)

// when reads dates, then the time of day with the survey's zone, then takes
// year, month and day from what is certain.
func (r *row) when() {
	for i, c := range r.cells {
		m := r.table.Columns[i].Meaning
		if m.Role == record.Term && isDate(m.Term) && !c.Empty() {
			r.date(i, m, c)
		}
	}
	if _, c, ok := r.cellOf("eventTime"); ok {
		r.time(c)
	}
	r.calendarParts()
}

func (r *row) date(i int, m record.Meaning, c record.Cell) {
	cell := dateCell{c.Text, r.dateOptions(i, c)}
	d := r.columns.dates.Get(cell, func() calendar.Date { return calendar.Parse(cell.text, cell.options) })
	r.problems(d.Problems, c, m.Term)
	r.capture.Set(record.Value{Term: m.Term, Text: d.ISO, Verbatim: c.Verbatim(), From: r.at(c)})
	if m.Term == "eventDate" && d.ISO != c.Verbatim() {
		r.capture.Set(record.Value{Term: "verbatimEventDate", Text: c.Verbatim(), From: r.at(c)})
	}
	if d.Remark != "" {
		r.remark(m.Term + ": " + d.Remark)
	}
}

func (r *row) dateOptions(i int, c record.Cell) calendar.Options {
	o := calendar.Options{
		Order: r.columns.order[i], FirstYear: r.columns.first, LastYear: r.columns.last,
		Zone: r.x.Zone, Hemisphere: r.x.Hemisphere, Date1904: r.x.Date1904,
	}
	if r.table.Columns[i].Meaning.Term == "eventDate" {
		o.From, o.To = r.x.First, r.x.Last
	}
	if c.Kind == record.Date {
		o.Order = calendar.YMD
	}
	return o
}

// time reads the time of day and adds the offset that the survey's zone has on
// that day.
func (r *row) time(c record.Cell) {
	t := calendar.ParseTime(c.Text)
	r.problems(t.Problems, c, "eventTime")
	if t.Remark != "" {
		r.remark("eventTime: " + t.Remark)
	}
	r.nextDay(t, c)
	text := t.ISO
	if r.x.Zone != nil {
		var problems []record.Problem
		text, problems = calendar.Offset(r.oneDay(), t, r.x.Zone)
		r.problems(problems, c, "eventTime")
	}
	r.capture.Set(record.Value{Term: "eventTime", Text: text, Verbatim: c.Verbatim(), From: r.at(c)})
}

// oneDay is the day of the capture, or none where it is not one certain day.
func (r *row) oneDay() calendar.Day {
	date := r.capture.Get("eventDate")
	if len(date) != len("2006-01-02") {
		return calendar.Day{}
	}
	return calendar.Parse(date, calendar.Options{Order: calendar.YMD}).Start
}

// calendarParts fills year, month and day where the date is one day or one
// month; a column of its own wins.
func (r *row) calendarParts() {
	v := r.capture.Value("eventDate")
	if v == nil {
		return
	}
	parts := []string{"year", "month", "day"}
	lengths := []int{4, 7, 10}
	starts := []int{0, 5, 8}
	for i, term := range parts {
		if len(v.Text) < lengths[i] || len(v.Text) > 10 || r.capture.Get(term) != "" {
			continue
		}
		n, err := strconv.Atoi(v.Text[starts[i]:lengths[i]])
		if err != nil {
			return
		}
		r.capture.Set(record.Value{Term: term, Text: strconv.Itoa(n), From: v.From})
	}
}
