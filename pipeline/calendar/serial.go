package calendar

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Day numbers that are taken for dates: 1927 to 2064 in the system of 1900.
// Shorter and longer numbers are years, days or labels.
const (
	firstSerial = 10000
	lastSerial  = 60000
)

// SerialDay returns the day of a spreadsheet's day number: day 1 is 1900-01-01,
// or day 0 is 1904-01-01. The system of 1900 counts a 29 February 1900 that
// never was, so day 60 is not a day (ECMA-376 part 1, 18.17.4.1).
func SerialDay(n int, date1904 bool) (Day, bool) {
	switch {
	case n < 0 || n > 2958465 || n == 0 && !date1904:
		return Day{}, false
	case date1904:
		return Day{1904, 1, 1}.Add(n), true
	case n < 60:
		return Day{1899, 12, 31}.Add(n), true
	case n == 60:
		return Day{}, false
	}
	return Day{1899, 12, 30}.Add(n), true
}

// serial reads a day number that was stored as text, with its fraction as time
// of day.
func (r *reader) serial(s string, d *Date) bool {
	whole, frac, _ := strings.Cut(s, ".")
	n, err := strconv.Atoi(whole)
	if err != nil || len(whole) != 5 || n < firstSerial || n > lastSerial || strings.Trim(frac, "0123456789") != "" {
		return false
	}
	day, ok := SerialDay(n, r.o.Date1904)
	if !ok {
		return false
	}
	other, _ := SerialDay(n, !r.o.Date1904)
	suggestion := ""
	from, to := r.o.window()
	if inside(other, from, to) && !inside(day, from, to) {
		suggestion = other.String()
	}
	r.problem(ruleSerial, fmt.Sprintf("spreadsheet day number %s is %s", s, day), suggestion)
	d.Start, d.End, d.Precision, d.ISO = day, day, ToDay, day.String()
	if f, err := strconv.ParseFloat("0."+frac, 64); err == nil && f > 0 {
		r.withTime(d, fractionOfDay(f))
	}
	return true
}

// inside reports whether a day is within a window that is bounded.
func inside(d, from, to Day) bool {
	return !(from.IsZero() && to.IsZero()) &&
		(from.IsZero() || d.Compare(from) >= 0) && (to.IsZero() || d.Compare(to) <= 0)
}

// fractionOfDay returns a time to the minute if the fraction is one to within
// half a second, else to the second.
func fractionOfDay(f float64) Time {
	seconds := int(math.Round(f * 86400))
	c := Clock{seconds / 3600, seconds / 60 % 60, seconds % 60}
	t := Time{Start: c, End: c, Precision: ToMinute}
	if c.Second != 0 {
		t.Precision = ToSecond
	}
	t.ISO = c.text(t.Precision)
	return t
}

// suggest returns the dates that a bare number of six digits may mean.
func (r *reader) suggest(s string) (found []string) {
	if len(s) != 6 || strings.Trim(s, "0123456789") != "" {
		return nil
	}
	n := func(a, b int) int { v, _ := strconv.Atoi(s[a:b]); return v }
	if y, m := n(0, 4), n(4, 6); plausibleYear(y) && m >= 1 && m <= 12 {
		found = append(found, fmt.Sprintf("%04d-%02d", y, m))
	}
	quiet := &reader{o: r.o}
	for _, p := range [][3]int{{0, 2, 4}, {4, 2, 0}, {4, 0, 2}} {
		y := quiet.year(field{number: true, text: s[p[0] : p[0]+2], value: n(p[0], p[0]+2)})
		if day := (Day{y, n(p[1], p[1]+2), n(p[2], p[2]+2)}); day.Valid() {
			found = append(found, day.String())
		}
	}
	return found
}
