package quality

import (
	"strings"
	"time"
)

// precision is the finest part of a date that was written.
type precision uint8

const (
	toYear precision = iota
	toMonth
	toWeek
	toDay
	toHour
	toMinute
	toSecond
)

// seconds that a point in time of a precision stands for.
var pointSeconds = map[precision]float64{toHour: 3600, toMinute: 60, toSecond: 1}

// point is one date or date and time as written. First and last are the civil
// days that it covers, at midnight UTC; they differ where the precision is
// coarser than a day.
type point struct {
	precision   precision
	first, last time.Time
	seconds     float64 // since midnight, for times
	zone        int     // seconds east of UTC
	zoned       bool
}

// interval is an ISO 8601 date, date and time, or time interval. First and last
// are civil days as written; start and end are seconds on one scale, zones
// taken into account, the end not included.
type interval struct {
	precision   precision // the coarser of its two ends
	isRange     bool
	first, last time.Time
	start, end  float64
}

// parseInterval reads the forms of ISO 8601-1:2019 that name days or points in
// time with a year of four digits: calendar, ordinal and week dates, basic or
// extended; times with Z or an offset; intervals by two ends, the second one
// perhaps shortened ("1880-05-08/10"), or by one end and a duration. Not
// accepted: centuries, expanded years, hour 24, open intervals, repetitions,
// and intervals that end before they start.
func parseInterval(text string) (interval, bool) {
	from, to, isRange := strings.Cut(text, "/")
	if !isRange {
		p, ok := parsePoint(text)
		return p.alone(), ok
	}
	switch {
	case strings.HasPrefix(from, "P"):
		end, ok := parsePoint(to)
		d, okD := parseDuration(from)
		if !ok || !okD {
			return interval{}, false
		}
		return d.before(end), true
	case strings.HasPrefix(to, "P"):
		start, ok := parsePoint(from)
		d, okD := parseDuration(to)
		if !ok || !okD {
			return interval{}, false
		}
		return d.after(start), true
	}
	start, ok := parsePoint(from)
	if !ok {
		return interval{}, false
	}
	end, ok := parsePoint(to)
	if !ok {
		end, ok = parseShortened(from, to, start)
	}
	if !ok {
		return interval{}, false
	}
	return between(start, end)
}

// IsDate reports whether a text is a date or an interval of ISO 8601, as the
// tests take it.
func IsDate(text string) bool {
	_, ok := parseInterval(text)
	return ok
}

func between(start, end point) (interval, bool) {
	if start.zoned && !end.zoned && end.precision > toDay {
		end.zone = start.zone
	}
	iv := interval{
		precision: min(start.precision, end.precision), isRange: true,
		first: start.first, last: end.last, start: start.begins(), end: end.ends(false),
	}
	return iv, iv.end >= iv.start && !iv.last.Before(iv.first)
}

// alone is the interval that a single point covers.
func (p point) alone() interval {
	return interval{precision: p.precision, first: p.first, last: p.last, start: p.begins(), end: p.ends(true)}
}

func (p point) begins() float64 {
	return float64(p.first.Unix()) + p.seconds - float64(p.zone)
}

// ends is where a point ends: after its last day, or for a time at the time
// itself; wide adds the second, minute or hour that the time stands for.
func (p point) ends(wide bool) float64 {
	if p.precision <= toDay {
		return float64(p.last.AddDate(0, 0, 1).Unix())
	}
	at := p.begins()
	if wide {
		at += pointSeconds[p.precision]
	}
	return at
}

// parseShortened reads an end that leaves out the leading parts that it shares
// with the start: "10", "06-15", "T17:00".
func parseShortened(from, to string, start point) (point, bool) {
	date, _, timed := strings.Cut(from, "T")
	if strings.HasPrefix(to, "T") || timed && strings.Contains(to, ":") && !strings.Contains(to, "T") {
		return parsePoint(date + "T" + strings.TrimPrefix(to, "T"))
	}
	endDate, _, _ := strings.Cut(to, "T")
	if len(endDate) == 0 || len(endDate) >= len(date) || !strings.Contains(date, "-") {
		return point{}, false
	}
	keep := date[:len(date)-len(endDate)]
	if !strings.HasSuffix(keep, "-") || start.precision == toYear {
		return point{}, false
	}
	return parsePoint(keep + to)
}

// sameDay, sameMonth and sameYear report whether the interval is as precise as
// that and lies within one.
func (iv interval) sameDay() bool {
	return iv.precision >= toDay && iv.first.Equal(iv.last)
}

func (iv interval) sameMonth() bool {
	return iv.precision >= toMonth && iv.sameYear() && iv.first.Month() == iv.last.Month()
}

func (iv interval) sameYear() bool { return iv.first.Year() == iv.last.Year() }

// datePart is a part of a date that a term of its own holds. Known is false where
// the interval is too coarse or too long to have one.
type datePart struct {
	term  string
	known bool
	value int
}

func (iv interval) parts() []datePart {
	return []datePart{
		{"year", iv.sameYear(), iv.first.Year()},
		{"month", iv.sameMonth(), int(iv.first.Month())},
		{"day", iv.sameDay(), iv.first.Day()},
		{"startDayOfYear", iv.precision >= toDay, iv.first.YearDay()},
		{"endDayOfYear", iv.precision >= toDay, iv.last.YearDay()},
	}
}
