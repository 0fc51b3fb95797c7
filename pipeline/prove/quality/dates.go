package quality

import (
	"fmt"
	"slices"
	"strconv"
	"time"
)

// dateTests ask whether dates are well formed, in range and consistent.
var dateTests = map[string]answer{
	"MEASURE_EVENTDATE_DURATIONINSECONDS": eventDuration,
	"VALIDATION_DATEIDENTIFIED_INRANGE":   dateIdentifiedInRange,
	"VALIDATION_DATEIDENTIFIED_STANDARD":  dateStandard("dateIdentified"),
	"VALIDATION_DAY_INRANGE":              dayInRange,
	"VALIDATION_DAY_STANDARD":             wholeBetween("day", 1, 31),
	"VALIDATION_ENDDAYOFYEAR_INRANGE":     dayOfYearInRange("endDayOfYear", func(iv interval) int { return iv.last.Year() }),
	"VALIDATION_EVENTDATE_INRANGE":        eventDateInRange,
	"VALIDATION_EVENTDATE_STANDARD":       dateStandard("eventDate"),
	"VALIDATION_EVENT_CONSISTENT":         eventConsistent,
	"VALIDATION_MONTH_STANDARD":           wholeBetween("month", 1, 12),
	"VALIDATION_STARTDAYOFYEAR_INRANGE":   dayOfYearInRange("startDayOfYear", func(iv interval) int { return iv.first.Year() }),
	"VALIDATION_YEAR_INRANGE":             yearInRange,
}

func dateStandard(term string) answer {
	return holding(term, IsDate, term+" is a valid ISO 8601 date", term+" is not a valid ISO 8601 date")
}

func wholeBetween(term string, low, high int) answer {
	return holding(term, isWhole(low, high), fmt.Sprintf("%s is a whole number from %d to %d", term, low, high),
		fmt.Sprintf("%s is not a whole number from %d to %d", term, low, high))
}

func isWhole(low, high int) func(string) bool {
	return func(text string) bool {
		n, ok := integer(text)
		return ok && n >= low && n <= high
	}
}

func eventDuration(r Record, _ Params) Response {
	iv, ok := parseInterval(r("eventDate"))
	if !ok {
		return Response{Status: Internal, Result: NotReported, Comment: "eventDate is empty or not a valid ISO 8601 date"}
	}
	seconds := strconv.FormatFloat(iv.end-iv.start, 'f', -1, 64)
	return Response{Status: HasResult, Result: seconds, Comment: "eventDate spans " + seconds + " seconds"}
}

// validRange reads the two limits of a date test. A limit that is not set is
// left open; one that is not a date is replaced by the default.
func validRange(p Params) (earliest, latest time.Time) {
	return p.limit("earliestValidDate").first, p.limit("latestValidDate").last
}

func (p Params) limit(name string) interval {
	iv, ok := parseInterval(p.value(name))
	if !ok && p.value(name) != "" {
		p.Set = nil
		iv, ok = parseInterval(p.value(name))
	}
	if !ok {
		return interval{}
	}
	return iv
}

func eventDateInRange(r Record, p Params) Response {
	iv, ok := parseInterval(r("eventDate"))
	if !ok {
		return internal("eventDate is empty or not a valid ISO 8601 date")
	}
	earliest, latest := validRange(p)
	if iv.first.Before(earliest) {
		return notCompliant("eventDate begins before %s", earliest.Format(time.DateOnly))
	}
	if !latest.IsZero() && iv.last.After(latest) {
		return notCompliant("eventDate ends after %s", latest.Format(time.DateOnly))
	}
	return compliant("eventDate is in range")
}

func dateIdentifiedInRange(r Record, p Params) Response {
	iv, ok := parseInterval(r("dateIdentified"))
	if !ok {
		return internal("dateIdentified is empty or not a valid ISO 8601 date")
	}
	withEvent := p.value("includeEventDate") != "false" && r.has("eventDate")
	event, okEvent := parseInterval(r("eventDate"))
	if withEvent && !okEvent {
		return internal("eventDate is not a valid ISO 8601 date")
	}
	earliest, latest := validRange(p)
	if iv.first.Before(earliest) {
		return notCompliant("dateIdentified begins before %s", earliest.Format(time.DateOnly))
	}
	// A year or month that is not over yet ends after the latest day but may
	// well mean a day before it.
	unfinished := !iv.isRange && iv.precision < toDay && !iv.first.After(latest)
	if !latest.IsZero() && iv.last.After(latest) && !unfinished {
		return notCompliant("dateIdentified ends after %s", latest.Format(time.DateOnly))
	}
	if withEvent && iv.end <= event.start {
		return notCompliant("dateIdentified is earlier than eventDate")
	}
	return compliant("dateIdentified is in range")
}

func yearInRange(r Record, p Params) Response {
	year, ok := integer(r("year"))
	if !ok {
		return internal("year is empty or not a whole number")
	}
	earliest, latest := validRange(p)
	if year < earliest.Year() || !latest.IsZero() && year > latest.Year() {
		return notCompliant("year is out of range")
	}
	return compliant("year is in range")
}

func dayInRange(r Record, _ Params) Response {
	d, ok := integer(r("day"))
	if !ok {
		return internal("day is empty or not a whole number")
	}
	month, okMonth := integer(r("month"))
	okMonth = okMonth && month >= 1 && month <= 12
	year, okYear := isoYear(r("year"))
	switch {
	case d < 1 || d > 31:
		return notCompliant("no month has a day %d", d)
	case d <= 28:
		return compliant("every month has a day %d", d)
	case !okMonth:
		return internal("whether there is a day %d depends on the month, which is not known", d)
	case month == 2 && d == 29 && !okYear:
		return internal("whether February has a day 29 depends on the year, which is not known")
	case month == 2 && d == 29:
		return judged(leap(year), "the year is a leap year", "the year is not a leap year")
	}
	return judged(d <= daysIn(2001, month), "the month has that day", "the month does not have that day")
}

// isoYear reads a year as ISO 8601 writes it: four digits.
func isoYear(text string) (int, bool) {
	text = trim(text)
	year, rest, ok := digits(text, 4)
	return year, ok && rest == ""
}

func dayOfYearInRange(term string, yearOf func(interval) int) answer {
	return func(r Record, _ Params) Response {
		if !r.has(term) {
			return internal("%s is empty", term)
		}
		n, ok := integer(r(term))
		if !ok || n != 366 {
			return judged(ok && n >= 1 && n <= 365, term+" is in range", term+" is not a day of a year")
		}
		iv, ok := parseInterval(r("eventDate"))
		if !ok {
			return internal("whether there is a day 366 depends on the year, which eventDate does not give")
		}
		return judged(leap(yearOf(iv)), "the year is a leap year", "the year is not a leap year")
	}
}

// eventConsistent compares eventDate with the parts of it that other terms
// hold. A part can only be right where eventDate is as precise as the part and
// lies within one year, month or day.
func eventConsistent(r Record, _ Params) Response {
	if !r.has("eventDate") || !slices.ContainsFunc([]string{"year", "month", "day", "startDayOfYear", "endDayOfYear"}, r.has) {
		return internal("eventDate or every other part of the date is empty")
	}
	iv, ok := parseInterval(r("eventDate"))
	if !ok {
		return notCompliant("eventDate is not a valid ISO 8601 date, so nothing can match it")
	}
	for _, part := range iv.parts() {
		if !r.has(part.term) {
			continue
		}
		if !part.known {
			return notCompliant("eventDate is too coarse or spans too long to have a single %s", part.term)
		}
		if n, ok := integer(r(part.term)); !ok || n != part.value {
			return notCompliant("%s %q does not match eventDate", part.term, r(part.term))
		}
	}
	return compliant("eventDate agrees with every part that is given")
}
