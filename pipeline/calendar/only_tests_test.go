package calendar

import (
	"time"
)

// What only tests call.

// Join puts a time of day on a date of one day. A range of times whose end is
// before its start ends on the day after. zone gives the offset; nil leaves the
// local time without one. The date comes back unchanged, with a problem if a
// time was given, where it is not one certain day.
func Join(d Date, t Time, zone *time.Location) Date {
	r := &reader{o: Options{Zone: zone}}
	r.withTime(&d, t)
	d.Problems = append(d.Problems, r.problems...)
	return d
}

// Merge adds the counts of another part of the column.
func (e *Evidence) Merge(o Evidence) {
	e.DayFirst += o.DayFirst
	e.MonthFirst += o.MonthFirst
	e.YearFirst += o.YearFirst
	e.ShortYear += o.ShortYear
	e.Open += o.Open
	e.Equal += o.Equal
	e.short.merge(o.short)
	e.packed.merge(o.packed)
	e.yearless.merge(o.yearless)
}

func (y *yearlessDates) merge(o yearlessDates) {
	y.dayFirst, y.monthFirst, y.open, y.equal = y.dayFirst+o.dayFirst, y.monthFirst+o.monthFirst, y.open+o.open, y.equal+o.equal
}
