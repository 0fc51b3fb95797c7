package normalise

import (
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// when reads dates, or puts them together, then the time of day with the
// survey's zone, then takes year, month and day from what is certain.
func (r *row) when() {
	for _, i := range r.plan.dates {
		if c := &r.cells[i]; !c.Empty() && !quantity.Sentinel(c.Text) && !r.filled(r.value(r.plan.columns[i].slot)) {
			r.date(i, r.plan.columns[i], c)
		}
	}
	r.joinDate()
	r.dateAsWritten()
	if _, c, ok := r.cellOf(tEventTime); ok && !quantity.Sentinel(c.Text) {
		r.time(c)
	}
	r.calendarParts()
}

func (r *row) date(i int, col *column, c *record.Cell) {
	d := r.dateOf(i, col, c)
	if withYear := r.ofYear(i, col, c, d); withYear != nil {
		d = withYear
	}
	if col.slot == tEventDate {
		r.day = d
	}
	r.problems(d.Problems, c, col.Meaning.Term)
	from := r.at(c)
	v := r.put(col.slot, d.word.value, c.Verbatim(), from)
	if v.Word = d.word.number; d.Wrong {
		v.Vary(func(f *record.Field) { f.Wrong = true })
	}
	if col.slot == tEventDate && d.ISO != c.Verbatim() && !r.filled(r.value(tVerbatimEventDate)) {
		r.put(tVerbatimEventDate, c.Verbatim(), "", from)
	}
	if d.Remark != "" {
		r.remark(col.Meaning.Term + ": " + d.Remark)
	}
}

// dateAsWritten reads the date of a capture that has none but the text of it
// (verbatimEventDate), where that is certain. Anything may be written there, so that
// what cannot be read is no slip.
func (r *row) dateAsWritten() {
	if r.dated() {
		return
	}
	i, c, ok := r.cellOf(tVerbatimEventDate)
	if !ok {
		return
	}
	if d := r.dateOf(i, r.plan.columns[i], c); d.ISO != "" && len(d.Problems) == 0 {
		r.put(tEventDate, d.ISO, "", r.at(c))
	}
}

// dated reports whether a date was read, or was written as one.
func (r *row) dated() bool {
	v := r.value(tEventDate)
	return v != nil && (v.Text != "" || v.Verbatim != "")
}

// ofYear reads a date of a day and month whose year stands in a column of its
// own; it gives nil for any other.
func (r *row) ofYear(i int, col *column, c *record.Cell, d *day) *day {
	if col.slot != tEventDate || d.ISO != "" || !slices.ContainsFunc(d.Problems, func(p record.Problem) bool { return p.Rule == "date-year-missing" }) {
		return nil
	}
	o := r.dateOptions(i, c)
	if o.DefaultYear, _ = r.wholePart(tYear); o.DefaultYear == 0 {
		return nil
	}
	out := calendar.Parse(c.Text, o)
	out.Problems = slices.DeleteFunc(out.Problems, func(p record.Problem) bool { return p.Rule == "date-year-supplied" }) // the row supplies it
	return r.x.day(out)
}

// day is a date with its year, month and day, where these are certain.
type day struct {
	calendar.Date
	word  word
	parts []word
}

func (x *Context) day(d calendar.Date) *day {
	return &day{d, x.word(said{tEventDate, d.ISO}), x.numbered(partsOf(d.ISO)...)}
}

// dateOf reads a date. Dates that a workbook stored are read by other options
// than texts, and are plain.
func (r *row) dateOf(i int, col *column, c *record.Cell) *day {
	if c.Kind == record.Date {
		return r.x.day(calendar.Parse(c.Text, r.dateOptions(i, c)))
	}
	if d := col.dates.find(c.Text); d != nil {
		return d
	}
	text := strings.Clone(c.Text)
	return col.dates.keep(text, r.x.day(calendar.Parse(text, r.dateOptions(i, c))))
}

func (r *row) dateOptions(i int, c *record.Cell) calendar.Options {
	o := calendar.Options{
		Order: r.columns.order[i], SixDigits: r.columns.packed[i], FirstYear: r.columns.first, LastYear: r.columns.last,
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
func (r *row) time(c *record.Cell) {
	t := r.timeOf(c.Text)
	r.problems(t.Problems, c, "eventTime")
	if t.Remark != "" {
		r.remark("eventTime: " + t.Remark)
	}
	r.nextDay(t, c)
	text := t.ISO
	if r.x.Zone != nil {
		var problems []record.Problem
		text, problems = calendar.Offset(r.oneDay(), *t, r.x.Zone)
		r.problems(problems, c, "eventTime")
	}
	r.put(tEventTime, text, c.Verbatim(), r.at(c))
}

func (r *row) timeOf(text string) *calendar.Time {
	known := r.columns.times
	if t := known.find(text); t != nil {
		return t
	}
	text = strings.Clone(text)
	t, read := calendar.Time{}, false
	if r.columns.clock != nil {
		t, read = r.columns.clock(text)
	}
	if !read {
		t = calendar.ParseTime(text)
	}
	return known.keep(text, &t)
}

// oneDay is the day of the capture, or none where it is not one certain day.
func (r *row) oneDay() calendar.Day {
	date := r.get(tEventDate)
	if len(date) != len("2006-01-02") {
		return calendar.Day{}
	}
	return dayOf(date)
}

// dayOf is the day, or the first day, of a date as it is published.
func dayOf(date string) calendar.Day {
	return calendar.Parse(date, calendar.Options{Order: calendar.YMD}).Start
}

// datePart is a part of a date that stands for itself.
type datePart struct {
	slot       slot
	start, end int
}

var dateParts = [...]datePart{{tYear, 0, 4}, {tMonth, 5, 7}, {tDay, 8, 10}}

// calendarParts fills year, month and day where the date is one day or one
// month, and year and month where an interval lies within one; a column of its
// own wins.
func (r *row) calendarParts() {
	v := r.value(tEventDate)
	if v == nil {
		return
	}
	var parts []word
	if d := r.day; d != nil && d.ISO == v.Text {
		parts = d.parts
	} else {
		parts = r.x.numbered(partsOf(v.Text)...)
	}
	from := v.From()
	for i := range parts {
		if p := &parts[i]; r.get(p.slot) == "" {
			r.putAt(p.slot, p.value, "", &from).Word = p.number
		}
	}
}

// partsOf are the year, month and day of a date, those that are certain.
func partsOf(date string) (parts []said) {
	if first, last, interval := strings.Cut(date, "/"); interval {
		date = inCommon(first, last)
	}
	for _, p := range dateParts {
		if len(date) < p.end || len(date) > 10 {
			break
		}
		digits := date[p.start:p.end]
		n, err := strconv.Atoi(digits)
		if err != nil {
			break
		}
		if n < 1000 { // of a year, the digits are its text
			digits = strconv.Itoa(n)
		}
		parts = append(parts, said{p.slot, digits})
	}
	return parts
}

// inCommon is the year, or year and month, in which both ends of an interval
// lie, or "". The second end may leave out what it shares with the first.
func inCommon(first, last string) string {
	first, _, _ = strings.Cut(first, "T")
	last, _, _ = strings.Cut(last, "T")
	if len(first) < len("2021") || strings.HasPrefix(last, "P") || strings.HasPrefix(first, "P") {
		return ""
	}
	if len(last) < len(first) && len(last) != len("2021") && len(last) != len("2021-06") {
		last = first[:len(first)-len(last)] + last
	}
	for _, n := range []int{len("2021-06"), len("2021")} {
		if len(first) >= n && len(last) >= n && first[:n] == last[:n] {
			return first[:n]
		}
	}
	return ""
}
