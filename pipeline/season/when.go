package season

import (
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

// nightOf returns the day that a night began on: the date, or with night the day
// before it where the time is before noon. It is empty where the date is no
// single day.
func nightOf(date, clock string, night bool) string {
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return ""
	}
	if night && len(clock) >= 2 && clock[:2] < "12" {
		return day.AddDate(0, 0, -1).Format(time.DateOnly)
	}
	return date
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
