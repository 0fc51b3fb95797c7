package calendar

// Order is the order of day, month and year in dates written with numbers.
type Order uint8

// The orders.
const (
	Unknown Order = iota
	DMY
	MDY
	YMD
)

// String gives "dmy", "mdy", "ymd" or "unknown".
func (o Order) String() string {
	switch o {
	case DMY:
		return "dmy"
	case MDY:
		return "mdy"
	case YMD:
		return "ymd"
	}
	return "unknown"
}

// ParseOrder reads what String gives; anything else is Unknown.
func ParseOrder(s string) Order {
	for _, o := range []Order{DMY, MDY, YMD} {
		if o.String() == s {
			return o
		}
	}
	return Unknown
}

// Evidence counts what the dates of one column say about their order. The zero
// value is ready. Merge of two halves equals adding every cell to one.
type Evidence struct {
	DayFirst   int // only day-month reads: 25/06/2021
	MonthFirst int // only month-day reads: 06/25/2021
	YearFirst  int // the year stands first: 2021-06-25
	ShortYear  int // only year-month-day reads among two-digit numbers: 87-06-25
	Open       int // both read: 03/06/2021
	Equal      int // both read and agree: 06/06/2021
}

// Add takes one cell into account. Dates with a named month, and cells that
// hold no date of three numbers, change nothing.
func (e *Evidence) Add(text string) {
	s, _ := cutTime(clean(text))
	l := lex(s)
	if len(l.fields) != 3 || len(l.unknown) > 0 {
		return
	}
	a, b, c := l.fields[0], l.fields[1], l.fields[2]
	if !a.number || !b.number || !c.number || a.blank || b.blank {
		return
	}
	switch {
	case a.isYear():
		e.YearFirst++
		return
	case len(a.text) > 2 || len(b.text) > 2 || !c.isYear() && len(c.text) != 2:
		return
	}
	dayFirst, monthFirst := b.value <= 12 && a.value <= 31, a.value <= 12 && b.value <= 31
	switch {
	case !dayFirst && !monthFirst:
		if len(c.text) == 2 && b.value <= 12 && c.value <= 31 && c.value > 0 {
			e.ShortYear++
		}
	case !monthFirst:
		e.DayFirst++
	case !dayFirst:
		e.MonthFirst++
	case a.value == b.value:
		e.Equal++
	default:
		e.Open++
	}
}

// Merge adds the counts of another part of the column.
func (e *Evidence) Merge(o Evidence) {
	e.DayFirst += o.DayFirst
	e.MonthFirst += o.MonthFirst
	e.YearFirst += o.YearFirst
	e.ShortYear += o.ShortYear
	e.Open += o.Open
	e.Equal += o.Equal
}

// Decide gives the order of the column and the number of its dates that stay
// ambiguous under it. One date that can only be read one way decides for all.
// If there is none, or if there are both kinds, the fallback holds; without a
// fallback the order is Unknown and every date that reads both ways is
// ambiguous. With both kinds those dates are ambiguous under a fallback too,
// since the column was not written in one order.
func (e Evidence) Decide(fallback Order) (order Order, ambiguous int) {
	switch {
	case e.DayFirst > 0 && e.MonthFirst > 0:
		return fallback, e.Open
	case e.ShortYear > 0 && e.DayFirst == 0 && e.MonthFirst == 0:
		return YMD, 0
	case e.DayFirst > 0:
		return DMY, 0
	case e.MonthFirst > 0:
		return MDY, 0
	case fallback != Unknown:
		return fallback, 0
	case e.YearFirst > 0 && e.Open == 0 && e.Equal == 0:
		return YMD, 0
	}
	return Unknown, e.Open
}
