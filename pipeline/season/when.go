package season

import (
	"fmt"
	"strings"
	"time"
)

// ends are the first and the last date of an interval; of a single date twice
// the same.
func ends(date string) (first, last string) {
	first, last, both := strings.Cut(date, "/")
	if !both {
		return date, date
	}
	if len(last) < len(first) { // 2024-05-01/03: what is left out is as before
		last = first[:len(first)-len(last)] + last
	}
	return first, last
}

// day is what a date tells.
type day struct {
	season string
	number value // year, month and day as one number; 0 where the date is no single day
}

func (s Settings) dayOf(date string) day {
	n := numberOf(date)
	if n > 0 && s.Starts == 1 {
		return day{date[:4], n}
	}
	return day{s.seasonOf(date), n}
}

// numberOf is the number of a day, 0 of what is none.
func numberOf(date string) (n value) {
	if len(date) != len(time.DateOnly) {
		return 0
	}
	for i := range len(date) {
		switch c, dash := date[i], time.DateOnly[i] == '-'; {
		case dash && c == '-':
		case dash || c < '0' || c > '9':
			return 0
		default:
			n = 10*n + value(c-'0')
		}
	}
	if month, day := n/100%100, n%100; 1 <= month && month <= 12 && 1 <= day && day <= 28 {
		return n // as most are
	}
	if _, err := time.Parse(time.DateOnly, date); err != nil {
		return 0
	}
	return n
}

// date writes the number of a day as a date.
func date(number value) string {
	return fmt.Sprintf("%04d-%02d-%02d", number/10000, number/100%100, number%100)
}

// nightOf returns the day that a night began on: that of the capture, or where
// captures are of nights the day before it if the time is before noon.
func (s Settings) nightOf(d day, clock string) day {
	if !s.Night || d.number == 0 || len(clock) < 2 || clock[:2] >= "12" {
		return d
	}
	of := int(d.number)
	return s.dayOf(time.Date(of/10000, time.Month(of/100%100), of%100-1, 0, 0, 0, 0, time.UTC).Format(time.DateOnly))
}

// daysBetween are the days from one date to another; false where one is no
// single day.
func daysBetween(first, second string) (int, bool) {
	a, err := time.Parse(time.DateOnly, first)
	b, err2 := time.Parse(time.DateOnly, second)
	if err != nil || err2 != nil {
		return 0, false
	}
	return int(b.Sub(a).Hours() / 24), true
}
