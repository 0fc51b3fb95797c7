package calendar

import (
	"fmt"
	"time"
)

// Day is one day of the Gregorian calendar. In a Date the month and day of
// Start and End are always set; the zero Day means none.
type Day struct{ Year, Month, Day int }

// String returns the day as 2021-06-03.
func (d Day) String() string {
	if d.Year < 0 || d.Year > 9999 || !twoDigits(d.Month) || !twoDigits(d.Day) {
		return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
	}
	var buf [10]byte
	b := appendTwo(appendTwo(buf[:0], d.Year/100), d.Year%100)
	b = appendTwo(append(b, '-'), d.Month)
	return string(appendTwo(append(b, '-'), d.Day))
}

func twoDigits(n int) bool { return n >= 0 && n <= 99 }

func appendTwo(b []byte, n int) []byte { return append(b, '0'+byte(n/10), '0'+byte(n%10)) }

// IsZero reports whether d is the zero Day.
func (d Day) IsZero() bool { return d == Day{} }

// Compare is negative if d is before o, positive if it is after, else zero.
func (d Day) Compare(o Day) int {
	if d.Year != o.Year {
		return d.Year - o.Year
	}
	if d.Month != o.Month {
		return d.Month - o.Month
	}
	return d.Day - o.Day
}

// Add returns the day n days later.
func (d Day) Add(n int) Day {
	if day := d.Day + n; 1 <= day && day <= 28 && 1 <= d.Month && d.Month <= 12 {
		return Day{d.Year, d.Month, day} // as most are
	}
	t := time.Date(d.Year, time.Month(d.Month), d.Day+n, 0, 0, 0, 0, time.UTC)
	return Day{t.Year(), int(t.Month()), t.Day()}
}

// Valid reports whether the calendar has this day, in the years 1 to 9999.
func (d Day) Valid() bool {
	return d.Year >= 1 && d.Year <= 9999 && d.Month >= 1 && d.Month <= 12 &&
		d.Day >= 1 && d.Day <= daysIn(d.Year, d.Month)
}

// Weekday returns 1 for Monday to 7 for Sunday (ISO 8601).
func (d Day) Weekday() int {
	w := int(time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC).Weekday())
	return (w+6)%7 + 1
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if leap(year) {
			return 29
		}
		return 28
	}
	return 31
}

func leap(year int) bool { return year%4 == 0 && (year%100 != 0 || year%400 == 0) }

// YearDay returns day n of a year, counted from 1. It is not ok where the year has
// no such day.
func YearDay(year, n int) (Day, bool) {
	limit := 365
	if leap(year) {
		limit = 366
	}
	if n < 1 || n > limit {
		return Day{}, false
	}
	return Day{year, 1, 1}.Add(n - 1), true
}

// Precision says how much of a date was written.
type Precision uint8

// The precisions, coarsest first.
const (
	None Precision = iota // no date
	ToDecade
	ToYear
	ToMonth
	ToDay
	ToMinute
	ToSecond
)

var precisionNames = [...]string{"none", "decade", "year", "month", "day", "minute", "second"}

// String names the precision in lower case.
func (p Precision) String() string {
	if int(p) < len(precisionNames) {
		return precisionNames[p]
	}
	return "none"
}
