package terms

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Span is the time that an ISO 8601 date, date with time, or interval covers:
// from the first instant of From to before Until. Local times without a zone
// are taken as UTC.
type Span struct {
	From, Until time.Time
	Days        int // precision of the coarser end: 0 a time, 1 a day, 31 a month, 366 a year
}

// First and Last are the first and the last day, as YYYY-MM-DD.
func (s Span) First() string { return s.From.Format(time.DateOnly) }

// Last is the last day that the span touches.
func (s Span) Last() string {
	if !s.Until.After(s.From) {
		return s.From.Format(time.DateOnly)
	}
	return s.Until.Add(-time.Nanosecond).Format(time.DateOnly)
}

var (
	dateForm = regexp.MustCompile(`^(\d{4})(?:-(\d{2})(?:-(\d{2}))?|-(\d{3}))?$`)
	timeForm = regexp.MustCompile(`^(\d{2})(?::(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?)?(Z|[+-]\d{2}(?::?\d{2})?)?$`)
)

// ParseSpan reads the forms of ISO 8601-1:2019 that Darwin Core dates use:
// YYYY, YYYY-MM, YYYY-MM-DD, YYYY-DDD, each with Thh:mm[:ss[.f]] and a zone
// where there is a day, and intervals of two of them joined by a slash, of
// which the second may leave out what it has in common with the first
// (2007-11-13/15).
func ParseSpan(text string) (Span, error) {
	first, second, interval := strings.Cut(text, "/")
	a, err := parseMoment(first)
	if err != nil {
		return Span{}, err
	}
	if !interval {
		return a, nil
	}
	b, err := parseMoment(second)
	if full, ok := completed(first, second); ok {
		b, err = parseMoment(full)
	}
	if err != nil {
		return Span{}, err
	}
	if b.From.Before(a.From) {
		return Span{}, fmt.Errorf("%q ends before it begins", text)
	}
	return Span{From: a.From, Until: maxTime(a.Until, b.Until), Days: max(a.Days, b.Days)}, nil
}

// completed lends the second end of an interval the leading parts of the
// first: 13T08:00 after 2007-11-12T07:00 is 2007-11-13T08:00.
func completed(first, second string) (string, bool) {
	if second == "" || len(second) >= len(first) || strings.HasPrefix(second, "-") {
		return "", false
	}
	date, clock, timed := strings.Cut(first, "T")
	switch {
	case timed && strings.Contains(second, ":") && !strings.Contains(second, "T"):
		full := date + "T" + second
		if zone := zoneOf(clock); zone != "" && zoneOf(second) == "" {
			full += zone
		}
		return full, true
	case strings.Contains(second, "T"):
		day, _, _ := strings.Cut(second, "T")
		if len(day) < len(date) && len(day) != 4 && len(day) != 7 {
			return date[:len(date)-len(day)] + second, true
		}
		return "", false
	case timed:
		return "", false
	case len(second) == 2 && len(date) >= 7, len(second) == 5 && len(date) == 10:
		return date[:len(date)-len(second)] + second, true
	}
	return "", false
}

func zoneOf(clock string) string {
	if i := strings.IndexAny(clock, "Z+-"); i >= 0 {
		return clock[i:]
	}
	return ""
}

// errNoDate is kept, since a row of measurements has many dates that are empty.
var errNoDate = errors.New(`"" is not an ISO 8601 date such as 2021-06-12`)

func parseMoment(text string) (Span, error) {
	if text == "" {
		return Span{}, errNoDate
	}
	date, clock, timed := strings.Cut(text, "T")
	m := dateForm.FindStringSubmatch(date)
	if m == nil {
		return Span{}, fmt.Errorf("%q is not an ISO 8601 date such as 2021-06-12", text)
	}
	year := atoi(m[1])
	var s Span
	switch {
	case m[4] != "":
		day := atoi(m[4])
		s.From = time.Date(year, 1, day, 0, 0, 0, 0, time.UTC)
		if day == 0 || s.From.Year() != year {
			return Span{}, fmt.Errorf("%q: the year has no day %d", text, day)
		}
		s.Until, s.Days = s.From.AddDate(0, 0, 1), 1
	case m[3] != "":
		month, day := atoi(m[2]), atoi(m[3])
		s.From = time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
		if s.From.Month() != time.Month(month) || s.From.Day() != day {
			return Span{}, fmt.Errorf("%q: there is no such day", text)
		}
		s.Until, s.Days = s.From.AddDate(0, 0, 1), 1
	case m[2] != "":
		month := atoi(m[2])
		if month < 1 || month > 12 {
			return Span{}, fmt.Errorf("%q: there is no month %d", text, month)
		}
		s.From = time.Date(year, time.Month(month), 1, 0, 0, 0, 0, time.UTC)
		s.Until, s.Days = s.From.AddDate(0, 1, 0), 31
	default:
		s.From = time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
		s.Until, s.Days = s.From.AddDate(1, 0, 0), 366
	}
	if !timed {
		return s, nil
	}
	if s.Days != 1 {
		return Span{}, fmt.Errorf("%q: a time needs a day before it", text)
	}
	return addClock(s, text, clock)
}

// ValidTime reports whether the text is a time of ISO 8601 such as 14:07:30Z,
// or an interval of two.
func ValidTime(text string) bool {
	first, second, interval := strings.Cut(text, "/")
	day := Span{From: time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)}
	if _, err := addClock(day, text, first); err != nil {
		return false
	}
	if !interval {
		return true
	}
	_, err := addClock(day, text, second)
	return err == nil
}

func addClock(s Span, text, clock string) (Span, error) {
	m := timeForm.FindStringSubmatch(clock)
	if m == nil {
		return Span{}, fmt.Errorf("%q is not an ISO 8601 time such as 14:07:30Z", text)
	}
	hour, minute, second := atoi(m[1]), atoi(m[2]), atoi(m[3])
	if hour > 24 || minute > 59 || second > 60 || hour == 24 && (minute > 0 || second > 0) {
		return Span{}, fmt.Errorf("%q: there is no such time", text)
	}
	zone, err := offset(m[5])
	if err != nil {
		return Span{}, fmt.Errorf("%q: %w", text, err)
	}
	long := time.Hour
	if m[2] != "" {
		long = time.Minute
	}
	if m[3] != "" {
		long = time.Second
	}
	s.From = s.From.Add(time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute + time.Duration(second)*time.Second - zone)
	s.Until, s.Days = s.From.Add(long), 0
	return s, nil
}

func offset(zone string) (time.Duration, error) {
	if zone == "" || zone == "Z" {
		return 0, nil
	}
	d := strings.ReplaceAll(zone[1:], ":", "")
	hours, minutes := atoi(d[:2]), 0
	if len(d) == 4 {
		minutes = atoi(d[2:])
	}
	if hours > 14 || minutes > 59 {
		return 0, fmt.Errorf("there is no time zone %s", zone)
	}
	o := time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute
	if zone[0] == '-' {
		return -o, nil
	}
	return o, nil
}

func atoi(s string) int { n, _ := strconv.Atoi(s); return n }

func maxTime(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
