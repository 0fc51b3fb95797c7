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

// String returns "dmy", "mdy", "ymd" or "unknown".
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

	short    shortDates    // dates of three two-digit numbers
	packed   packedDates   // the same without marks between them
	yearless yearlessDates // dates of two numbers
}

// shortDates is what dates of three two-digit numbers have in common: the smallest
// and largest first and last number, and how many read year-month-day.
type shortDates struct {
	n, yearFirst       int
	firstMin, firstMax int
	lastMin, lastMax   int
}

func (s *shortDates) merge(o shortDates) {
	switch {
	case o.n == 0:
		return
	case s.n == 0:
		*s = o
		return
	}
	s.n, s.yearFirst = s.n+o.n, s.yearFirst+o.yearFirst
	s.firstMin, s.firstMax = min(s.firstMin, o.firstMin), max(s.firstMax, o.firstMax)
	s.lastMin, s.lastMax = min(s.lastMin, o.lastMin), max(s.lastMax, o.lastMax)
}

// yearLeads reports whether the dates are most likely year-month-day though
// they read day-month-year as well: 21-06-03, 21-06-15, 21-07-01. All read so,
// the first number never changes and the last one does.
func (s shortDates) yearLeads() bool {
	return s.n >= 3 && s.yearFirst == s.n && s.firstMin == s.firstMax && s.firstMin > 12 && s.lastMin < s.lastMax
}

// Add takes one cell into account. Dates with a named month, and cells that
// hold no date of three numbers, change nothing.
func (e *Evidence) Add(text string) {
	s := clean(text)
	if _, ok := plainISO(s); ok {
		e.YearFirst++
		return
	}
	e.any(s)
}

func (e *Evidence) any(s string) {
	if len(s) > longest {
		return
	}
	s, _ = cutTime(s)
	l := lex(s)
	if len(l.fields) == 1 && len(l.unknown) == 0 && len(l.fields[0].text) == 6 && l.fields[0].number {
		e.packed.add(l.fields[0])
		return
	}
	if len(l.fields) == 1 && l.fields[0].number {
		if a, b, c, ok := l.fields[0].eight(); ok {
			l.fields = []field{a, b, c}
		}
	}
	if l.dayAndMonth() {
		e.yearless.add(l.fields[0].value, l.fields[1].value)
		return
	}
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
	if len(c.text) == 2 {
		one := shortDates{1, 0, a.value, a.value, c.value, c.value}
		if (Day{2000 + a.value, b.value, c.value}).Valid() {
			one.yearFirst = 1
		}
		e.short.merge(one)
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

// Decide returns the order of the column and the number of its dates that stay
// ambiguous under it. One date that can only be read one way decides for all.
// If there is none, or if there are both kinds, the fallback holds; without a
// fallback the order is Unknown and every date that reads both ways is
// ambiguous. Two-digit numbers whose first never changes while the last does
// are year-month-day: 21-06-03, 21-06-15, 21-07-01. With both kinds those dates are ambiguous under a fallback too,
// since the column was not written in one order.
func (e Evidence) Decide(fallback Order) (order Order, ambiguous int) {
	switch {
	case e.SixDigits():
		if order = e.packed.order(fallback); order == Unknown {
			return Unknown, e.packed.n
		}
		return order, 0
	case e.short.yearLeads() && e.short.n == e.DayFirst+e.MonthFirst+e.ShortYear+e.Open+e.Equal:
		return YMD, 0
	case e.DayFirst > 0 && e.MonthFirst > 0:
		return fallback, e.Open
	case e.ShortYear > 0 && e.DayFirst == 0 && e.MonthFirst == 0:
		return YMD, 0
	case e.DayFirst > 0:
		return DMY, 0
	case e.MonthFirst > 0:
		return MDY, 0
	case e.Open == 0 && e.yearless.order() != Unknown: // beside whole dates 6-21 may be a month
		return e.yearless.order(), 0
	case fallback != Unknown:
		return fallback, 0
	case e.YearFirst > 0 && e.Open == 0 && e.Equal == 0:
		return YMD, 0
	}
	return Unknown, e.Open + e.yearless.open
}

// Shown reports whether a date of the column can only be read in one order of day
// and month.
func (e Evidence) Shown() bool {
	return e.DayFirst+e.MonthFirst+e.yearless.dayFirst+e.yearless.monthFirst > 0
}
