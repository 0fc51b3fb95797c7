package calendar

import "strings"

// packedDates is what days of six digits have in common: how many of them are days
// in each order, or a year and its month, and their smallest and largest first and
// last two digits.
type packedDates struct {
	n, ymd, dmy, mdy, months int
	firstMin, firstMax       int
	lastMin, lastMax         int
}

func (p *packedDates) add(f field) {
	a, b, c := f.cut(0, 2).value, f.cut(2, 4).value, f.cut(4, 6).value
	one := packedDates{n: 1, firstMin: a, firstMax: a, lastMin: c, lastMax: c}
	one.ymd = valid(a, b, c)
	one.dmy = valid(c, b, a)
	one.mdy = valid(c, a, b)
	if f.cut(0, 4).isYear() && c >= 1 && c <= 12 {
		one.months = 1
	}
	p.merge(one)
}

// valid returns 1 for a day of the calendar and 0 for any other.
func valid(year, month, day int) int {
	if (Day{2000 + year, month, day}).Valid() {
		return 1
	}
	return 0
}

func (p *packedDates) merge(o packedDates) {
	switch {
	case o.n == 0:
		return
	case p.n == 0:
		*p = o
		return
	}
	p.n, p.ymd, p.dmy, p.mdy, p.months = p.n+o.n, p.ymd+o.ymd, p.dmy+o.dmy, p.mdy+o.mdy, p.months+o.months
	p.firstMin, p.firstMax = min(p.firstMin, o.firstMin), max(p.firstMax, o.firstMax)
	p.lastMin, p.lastMax = min(p.lastMin, o.lastMin), max(p.lastMax, o.lastMax)
}

// fartherApart is how many more years the days of a column would be apart under
// another order than under the right one, at least.
const fartherApart = 5

// order returns the only order in which all are days of few years, or the
// fallback where it is one of two. Numbers that may all be years and months have
// none.
func (p packedDates) order(fallback Order) Order {
	if p.months == p.n {
		return Unknown
	}
	first, last := p.firstMax-p.firstMin, p.lastMax-p.lastMin
	var may []Order
	if p.ymd == p.n && (p.dmy+p.mdy < p.n || first+fartherApart <= last) {
		may = append(may, YMD)
	}
	yearLast := p.ymd < p.n || last+fartherApart <= first
	if p.dmy == p.n && yearLast {
		may = append(may, DMY)
	}
	if p.mdy == p.n && yearLast {
		may = append(may, MDY)
	}
	for _, o := range may {
		if len(may) == 1 || o == fallback {
			return o
		}
	}
	return Unknown
}

// cut returns some digits of a number as its own field.
func (f field) cut(from, to int) field {
	v := 0
	for _, c := range f.text[from:to] {
		v = v*10 + int(c-'0')
	}
	return field{number: true, text: f.text[from:to], value: v, sep: "-"}
}

// eight parts a day of eight digits, with the year first or last; a workbook may have
// dropped the zero of the first two.
func (f field) eight() (a, b, c field, ok bool) {
	if len(f.text) == 7 {
		f.text = "0" + f.text
	}
	if len(f.text) != 8 {
		return a, b, c, false
	}
	if a, b, c = f.cut(0, 4), f.cut(4, 6), f.cut(6, 8); a.isYear() && (Day{a.value, b.value, c.value}).Valid() {
		return a, b, c, true
	}
	a, b, c = f.cut(0, 2), f.cut(2, 4), f.cut(4, 8)
	return a, b, c, c.isYear() && ((Day{c.value, b.value, a.value}).Valid() || (Day{c.value, a.value, b.value}).Valid())
}

// EightDigits reports whether a text is a day written as 20190503, 03052019 or 05032019,
// perhaps without the first zero.
func EightDigits(text string) bool {
	if strings.Trim(text, "0123456789") != "" {
		return false
	}
	_, _, _, ok := field{number: true, text: text}.eight()
	return ok
}

// SixDigits reports whether all dates of a column that are written with numbers are
// days of six digits.
func (e Evidence) SixDigits() bool {
	return e.packed.n > 0 && e.DayFirst+e.MonthFirst+e.ShortYear+e.YearFirst+e.Open+e.Equal == 0
}

// six reads 210603 in the order of a column of such days, and nothing where that
// is not known.
func (r *reader) six(f field) (parts, bool) {
	if !r.o.SixDigits {
		return parts{}, false
	}
	a, b, c := f.cut(0, 2), f.cut(2, 4), f.cut(4, 6)
	switch r.o.Order {
	case YMD:
		return parts{y: r.year(a), m: b.value, d: c.value, byNum: true, order: YMD}, true
	case DMY:
		return parts{y: r.year(c), m: b.value, d: a.value, byNum: true, order: DMY}, true
	case MDY:
		return parts{y: r.year(c), m: a.value, d: b.value, byNum: true, order: MDY}, true
	}
	return parts{}, false
}
