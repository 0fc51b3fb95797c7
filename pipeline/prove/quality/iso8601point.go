package quality

import (
	"math"
	"strings"
	"time"
)

// digits reads n decimal digits at the start of text.
func digits(text string, n int) (value int, rest string, ok bool) {
	if len(text) < n {
		return 0, text, false
	}
	for _, c := range []byte(text[:n]) {
		if c < '0' || c > '9' {
			return 0, text, false
		}
		value = value*10 + int(c-'0')
	}
	return value, text[n:], true
}

func civil(year, month, day int) time.Time {
	return time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
}

func leap(year int) bool { return year%4 == 0 && (year%100 != 0 || year%400 == 0) }

// daysIn returns the days of a month, 0 where there is no such month.
func daysIn(year, month int) int {
	if month < 1 || month > 12 {
		return 0
	}
	return civil(year, month+1, 0).Day()
}

func parsePoint(text string) (point, bool) {
	date, clock, timed := strings.Cut(text, "T")
	p, ok := parseDate(date)
	if !ok || !timed {
		return p, ok
	}
	if p.precision != toDay {
		return p, false
	}
	return p, p.parseTime(clock)
}

// parseDate reads a date of any precision from a year to a day.
func parseDate(text string) (point, bool) {
	year, rest, ok := digits(text, 4)
	if !ok {
		return point{}, false
	}
	if rest == "" {
		return point{precision: toYear, first: civil(year, 1, 1), last: civil(year, 12, 31)}, true
	}
	extended := rest[0] == '-'
	if extended {
		rest = rest[1:]
	}
	if strings.HasPrefix(rest, "W") {
		return weekDate(year, rest[1:], extended)
	}
	switch {
	case len(rest) == 3: // day of the year
		n, _, ok := digits(rest, 3)
		if !ok || n < 1 || n > civil(year, 12, 31).YearDay() {
			return point{}, false
		}
		return day(civil(year, 1, n)), true
	case extended && len(rest) == 2:
		month, _, ok := digits(rest, 2)
		n := daysIn(year, month)
		if !ok || n == 0 {
			return point{}, false
		}
		return point{precision: toMonth, first: civil(year, month, 1), last: civil(year, month, n)}, true
	case extended && len(rest) == 5 && rest[2] == '-':
		rest = rest[:2] + rest[3:]
	case extended || len(rest) != 4:
		return point{}, false
	}
	both, _, ok := digits(rest, 4)
	month, d := both/100, both%100
	if !ok || d < 1 || d > daysIn(year, month) {
		return point{}, false
	}
	return day(civil(year, month, d)), true
}

func day(d time.Time) point { return point{precision: toDay, first: d, last: d} }

// weekDate reads what follows W: the week, and perhaps the day of the week.
func weekDate(year int, rest string, extended bool) (point, bool) {
	week, rest, ok := digits(rest, 2)
	_, weeks := civil(year, 12, 28).ISOWeek()
	if !ok || week < 1 || week > weeks {
		return point{}, false
	}
	// The week that holds 4 January is the first; weeks begin on Monday.
	fourth := civil(year, 1, 4)
	monday := fourth.AddDate(0, 0, -(int(fourth.Weekday())+6)%7+7*(week-1))
	if rest == "" {
		return point{precision: toWeek, first: monday, last: monday.AddDate(0, 0, 6)}, true
	}
	if extended {
		if rest[0] != '-' {
			return point{}, false
		}
		rest = rest[1:]
	}
	n, rest, ok := digits(rest, 1)
	if !ok || rest != "" || n < 1 || n > 7 {
		return point{}, false
	}
	return day(monday.AddDate(0, 0, n-1)), true
}

// parseTime reads a time of day with or without a zone into the point.
func (p *point) parseTime(text string) bool {
	clock, zone := text, ""
	if i := strings.IndexAny(text, "Z+-"); i >= 0 {
		clock, zone = text[:i], text[i:]
	}
	if zone != "" && !p.parseZone(zone) {
		return false
	}
	whole, fraction := clock, ""
	if i := strings.IndexAny(clock, ".,"); i >= 0 {
		whole, fraction = clock[:i], clock[i+1:]
		if fraction == "" {
			return false
		}
	}
	hour, rest, ok := digits(whole, 2)
	if !ok || hour > 23 {
		return false
	}
	p.precision, p.seconds = toHour, float64(hour)*3600
	extended := strings.HasPrefix(rest, ":")
	for _, unit := range []struct {
		precision precision
		seconds   float64
		most      int
	}{{toMinute, 60, 59}, {toSecond, 1, 60}} {
		if rest == "" {
			break
		}
		if extended {
			if rest[0] != ':' {
				return false
			}
			rest = rest[1:]
		}
		var n int
		if n, rest, ok = digits(rest, 2); !ok || n > unit.most {
			return false
		}
		p.precision = unit.precision
		p.seconds += float64(n) * unit.seconds
	}
	if rest != "" {
		return false
	}
	return p.addFraction(fraction)
}

func (p *point) addFraction(fraction string) bool {
	share := 0.0
	for i := 0; i < len(fraction); i++ {
		c := fraction[i]
		if c < '0' || c > '9' {
			return false
		}
		share += float64(c-'0') / math.Pow10(i+1)
	}
	p.seconds += share * pointSeconds[p.precision]
	return true
}

// parseZone reads Z, +hh, +hhmm or +hh:mm. An offset in basic form after a time
// in extended form is accepted: Darwin Core's own examples have it.
func (p *point) parseZone(zone string) bool {
	p.zoned = true
	if zone == "Z" {
		return true
	}
	if zone[0] == 'Z' {
		return false
	}
	hours, rest, ok := digits(zone[1:], 2)
	if !ok || hours > 23 {
		return false
	}
	minutes := 0
	if rest != "" {
		minutes, rest, ok = digits(strings.TrimPrefix(rest, ":"), 2)
		if !ok || rest != "" || minutes > 59 {
			return false
		}
	}
	p.zone = hours*3600 + minutes*60
	if zone[0] == '-' {
		p.zone = -p.zone
	}
	return true
}
