package calendar

import (
	"slices"
	"strings"
	"unicode"
)

// Yearless reports whether a text is a day and a month without a year: "June 4",
// "3.VI.", "13.3.", but not "4/6", which may be a fraction (see DayMonth), nor
// "14.2 g".
func Yearless(text string) bool {
	if len(text) > longestYearless || strings.IndexFunc(text, unicode.IsDigit) < 0 {
		return false
	}
	if !lex(text).hasMonth() && strings.Count(text, ".") != 2 {
		return false
	}
	d := Parse(text, Options{DefaultYear: leapYear, Order: DMY}) // as where a dot is behind both numbers
	return d.singleDay() && d.Remark == "" && Parse(text, Options{}).ISO == ""
}

const (
	longestYearless = 30   // bytes
	leapYear        = 2000 // has every day
)

// DayMonth reports whether a text is two numbers that may be a day and a month:
// "4/6", "13-3". So may be a fraction or a range; only what stands around it
// tells.
func DayMonth(text string) bool {
	if len(text) > longestYearless {
		return false
	}
	l := lex(text)
	if !l.dayAndMonth() || l.fields[1].sep == "." {
		return false
	}
	var y yearlessDates
	y.add(l.fields[0].value, l.fields[1].value)
	return y != yearlessDates{}
}

// hasMonth reports whether a date has the name of a month.
func (l lexed) hasMonth() bool {
	return slices.ContainsFunc(l.fields, func(f field) bool { return f.month > 0 })
}

// dayAndMonth reports whether a date is two numbers of at most two digits with a
// mark between them. A dot is behind the second too, or they are one number.
func (l lexed) dayAndMonth() bool {
	if len(l.fields) != 2 || len(l.unknown) > 0 {
		return false
	}
	a, b := l.fields[0], l.fields[1]
	return a.number && b.number && a.sep == "" && a.isDay() && b.isDay() &&
		(b.sep == "/" || b.sep == "-" || b.sep == "." && l.tail == ".") && strings.Trim(l.tail, ".") == ""
}

// yearlessDates counts dates of two numbers by the orders in which they can be
// read; equal ones read the same in both.
type yearlessDates struct{ dayFirst, monthFirst, open, equal int }

func (y *yearlessDates) add(a, b int) {
	switch dmy, mdy := valid(leapYear-2000, b, a) > 0, valid(leapYear-2000, a, b) > 0; {
	case dmy && mdy && a == b:
		y.equal++
	case dmy && mdy:
		y.open++
	case dmy:
		y.dayFirst++
	case mdy:
		y.monthFirst++
	}
}

// order returns the only order in which all of them can be read, if one shows it.
func (y yearlessDates) order() Order {
	switch {
	case y.dayFirst > 0 && y.monthFirst == 0:
		return DMY
	case y.monthFirst > 0 && y.dayFirst == 0:
		return MDY
	}
	return Unknown
}
