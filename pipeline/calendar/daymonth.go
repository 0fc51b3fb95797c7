package calendar

import (
	"fmt"
	"strings"
)

func (r *reader) three(fs []field) (parts, bool) {
	for i, f := range fs {
		if f.month > 0 {
			rest := append(append([]field{}, fs[:i]...), fs[i+1:]...)
			return r.monthAndTwo(f, rest[0], rest[1])
		}
	}
	a, b, c := fs[0], fs[1], fs[2]
	if mark(b.sep) != mark(c.sep) && !(c.isYear() && mark(b.sep) == "/" && mark(c.sep) == "") { // "18/5 2008"
		return parts{}, false
	}
	short := len(c.text) == 2 && c.number && !c.blank || c.text == "00"
	switch {
	case a.isYear() && b.isDay() && c.isDay():
		return r.yearFirst(a, b, c)
	case !a.isDay() || !b.isDay():
		return parts{}, false
	case c.isYear():
		return r.dayMonth(r.year(c), a, b)
	case !short || len(a.text) > 2:
		return parts{}, false
	case r.o.Order == YMD && len(a.text) == 2 && b.value <= 12 && c.value <= 31 && !c.blank,
		a.value > 31 && b.value <= 12 && c.value <= 31:
		return parts{y: r.year(a), m: b.value, d: c.value, byNum: true}, true
	}
	return r.dayMonth(r.year(c), a, b)
}

// mark is the separator of numbers without the blanks around it.
func mark(sep string) string { return strings.Trim(sep, " ") }

// yearFirst reads year, month, day; year, day, month if nothing else is left.
func (r *reader) yearFirst(y, b, c field) (parts, bool) {
	year := r.year(y)
	switch {
	case b.blank:
		return r.withoutMonth(year, b, c)
	case c.blank && b.value <= 12:
		return parts{y: year, m: b.value, byNum: true}, true
	case b.value > 12 && b.value <= 31 && c.value <= 12:
		p := parts{y: year, m: c.value, d: b.value, byNum: true}
		r.problem(ruleOrderOther, fmt.Sprintf("there is no month %d, so the day comes before the month", b.value), "")
		return p, true
	}
	return parts{y: year, m: b.value, d: c.value, byNum: true, yearFirst: true}, true
}

// withoutMonth takes the year of a date whose month is not known. A zero beside the
// number of a day is a slip rather than a word for that.
func (r *reader) withoutMonth(year int, month, day field) (parts, bool) {
	if month.number && !day.blank {
		r.problem(ruleImpossible, "there is no month 0", "")
		return parts{}, false
	}
	return parts{y: year}, true
}

// monthAndTwo reads a named month with two numbers, a the one written first.
func (r *reader) monthAndTwo(m, a, b field) (parts, bool) {
	switch {
	case a.month > 0 || b.month > 0 || a.isYear() && b.isYear():
		return parts{}, false
	case b.isYear() && a.isDay():
		return parts{y: r.year(b), m: m.month, d: a.value}, true
	case a.isYear() && b.isDay():
		return parts{y: r.year(a), m: m.month, d: b.value}, true
	case !a.number || !b.number || len(a.text) > 2 || len(b.text) != 2:
		return parts{}, false
	case a.value > 31 || r.o.Order == YMD && m.sep != "" && len(a.text) == 2:
		return parts{y: r.year(a), m: m.month, d: b.value}, true
	}
	return parts{y: r.year(b), m: m.month, d: a.value}, true
}

// dayMonth settles which of two numbers is the day. The year may be missing.
func (r *reader) dayMonth(year int, a, b field) (parts, bool) {
	p := parts{y: year, d: a.value, m: b.value, byNum: true, order: DMY}
	swapped := parts{y: year, d: b.value, m: a.value, byNum: true, order: MDY}
	switch {
	case a.blank && b.blank:
		return parts{y: year}, true
	case b.blank && r.o.Order != DMY:
		return swapped, a.value <= 12
	case b.blank:
		return r.withoutMonth(year, b, a)
	case a.blank && r.o.Order == MDY:
		return r.withoutMonth(year, a, b)
	case a.blank:
		return p, b.value <= 12
	case a.value > 12 && b.value > 12:
		r.problem(ruleImpossible, fmt.Sprintf("neither %d nor %d is a month", a.value, b.value), "")
		return parts{}, false
	case b.value > 12:
		if r.o.Order == DMY {
			r.problem(ruleOrderOther, fmt.Sprintf("there is no month %d, so the month comes before the day", b.value), "")
		}
		return swapped, true
	case a.value > 12:
		if r.o.Order == MDY {
			r.problem(ruleOrderOther, fmt.Sprintf("there is no month %d, so the day comes before the month", a.value), "")
		}
		return p, true
	case a.value == b.value && r.o.Order == Unknown:
		p.order = Unknown
		return p, true
	case r.o.Order == DMY:
		return p, true
	case r.o.Order == MDY:
		return swapped, true
	}
	p.open, p.order = true, Unknown
	return p, true
}

// year returns the full year of a field. Two digits are put into the century
// that brings them into the survey's years, or nearest to them, and never after
// the last possible day. Without the survey's years 69–99 are taken as
// 1969–1999 and the rest as 2000–2068, the convention of POSIX strptime, with a
// problem.
func (r *reader) year(f field) int {
	if len(f.text) != 2 {
		return f.value
	}
	first, last := r.o.years()
	latest := r.o.Latest.Year
	if first == 0 {
		y := 2000 + f.value
		if f.value >= 69 || latest > 0 && y > latest {
			y = 1900 + f.value
		}
		r.problem(ruleTwoDigits, fmt.Sprintf("the year has two digits and nothing shows the century; %q is read as %d", f.text, y), "")
		return y
	}
	best, gap := 0, 1<<30
	for c := 1500; c <= 2100; c += 100 {
		y := c + f.value
		if latest > 0 && y > latest {
			break
		}
		if away := max(first-y, y-last, 0); away < gap {
			best, gap = y, away
		}
	}
	return best
}
