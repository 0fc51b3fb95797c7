package quality

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"spadefoot/pipeline/calendar"
)

// dateFillTests propose dates and parts of dates.
var dateFillTests = map[string]answer{
	"AMENDMENT_DATEIDENTIFIED_STANDARDIZED":                   standardiseDate("dateIdentified"),
	"AMENDMENT_DAY_STANDARDIZED":                              standardised("dwc:day", isWhole(1, 31), inDigits(dayMeant), "a whole number from 1 to 31", "day"),
	"AMENDMENT_EVENTDATE_FROM_VERBATIM":                       dateFromVerbatim,
	"AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY":                   dateFromParts,
	"AMENDMENT_EVENTDATE_FROM_YEARSTARTDAYOFYEARENDDAYOFYEAR": dateFromDaysOfYear,
	"AMENDMENT_EVENTDATE_STANDARDIZED":                        standardiseDate("eventDate"),
	"AMENDMENT_EVENT_FROM_EVENTDATE":                          partsFromDate,
	"AMENDMENT_MONTH_STANDARDIZED":                            standardised("dwc:month", isWhole(1, 12), inDigits(monthMeant), "a whole number from 1 to 12", "month"),
}

// dateMeant reads a date as people write it, in ISO 8601, where it can mean one
// thing only. A doubt of any kind but the order of day and month being plain
// from the numbers means that it is not read.
func dateMeant(text string) string {
	d := calendar.Parse(text, calendar.Options{})
	if d.ISO == "" || d.Doubtful || d.Season != "" || d.Remark != "" {
		return ""
	}
	for _, p := range d.Problems {
		if p.Rule != "date-order-other" {
			return ""
		}
	}
	if !IsDate(d.ISO) {
		return ""
	}
	return d.ISO
}

func standardiseDate(term string) answer {
	return standardised("dwc:"+term, IsDate, dateMeant, "a valid ISO 8601 date", "date")
}

// gregorianFrom is the day from which the Gregorian calendar holds nearly
// everywhere, as the published test has it.
var gregorianFrom = time.Date(1918, 2, 14, 0, 0, 0, 0, time.UTC)

func dateFromVerbatim(r Record, _ Params) Response {
	v := r("verbatimEventDate")
	if r.has("eventDate") || Empty(v) {
		return internal("eventDate holds a value or verbatimEventDate is empty")
	}
	iso := trim(v)
	iv, ok := parseInterval(iso)
	if ok && len(iso) == 4 && iso[0] == '0' {
		return notAmended("verbatimEventDate %q may be something other than a year", v)
	}
	if !ok {
		if iso = dateMeant(v); iso == "" {
			return notAmended("verbatimEventDate %q cannot be read as one date", v)
		}
		iv, _ = parseInterval(iso)
	}
	comment := fmt.Sprintf("verbatimEventDate %q is read as %s", v, iso)
	if iv.first.Before(gregorianFrom) {
		comment += "; the verbatim date is assumed to be in the Gregorian calendar"
	}
	return proposal(FilledIn, map[string]string{"dwc:eventDate": iso}, "%s", comment)
}

// dateFromParts keeps the precision that is given. A month that is missing or
// not understood leaves the year alone, whatever the day.
func dateFromParts(r Record, _ Params) Response {
	year, ok := integer(r("year"))
	if r.has("eventDate") || !ok {
		return internal("eventDate holds a value, or year is empty or not a whole number")
	}
	if year < 0 || year > 9999 {
		return notAmended("year %d cannot be written in ISO 8601 with four digits", year)
	}
	iso := fmt.Sprintf("%04d", year)
	month := monthMeant(r("month"))
	if month > 0 {
		iso += fmt.Sprintf("-%02d", month)
		if d := r("day"); !Empty(d) {
			n := dayMeant(d)
			if n == 0 || n > daysIn(year, month) {
				return notAmended("there is no day %q in %s", d, iso)
			}
			iso += fmt.Sprintf("-%02d", n)
		}
	}
	return proposal(FilledIn, map[string]string{"dwc:eventDate": iso}, "year, month and day give %s", iso)
}

func dateFromDaysOfYear(r Record, _ Params) Response {
	if r.has("eventDate") || !r.has("year") || !r.has("startDayOfYear") || !r.has("endDayOfYear") {
		return internal("eventDate holds a value, or year, startDayOfYear or endDayOfYear is empty")
	}
	year, okYear := integer(r("year"))
	start, okStart := integer(r("startDayOfYear"))
	end, okEnd := integer(r("endDayOfYear"))
	days := civil(year, 12, 31).YearDay()
	switch {
	case !okYear || !okStart || !okEnd || year < 0 || year > 9999:
		return notAmended("year, startDayOfYear or endDayOfYear is not a usable whole number")
	case start < 1 || end > days:
		return notAmended("a day of the year is out of range")
	case start >= end:
		return notAmended("startDayOfYear is not less than endDayOfYear")
	}
	iso := civil(year, 1, start).Format(time.DateOnly) + "/" + civil(year, 1, end).Format(time.DateOnly)
	return proposal(FilledIn, map[string]string{"dwc:eventDate": iso}, "the days of the year give %s", iso)
}

func partsFromDate(r Record, _ Params) Response {
	iv, ok := parseInterval(r("eventDate"))
	if !ok {
		return internal("eventDate is empty or not a valid ISO 8601 date")
	}
	changes := map[string]string{}
	for _, part := range iv.parts() {
		if part.known && !r.has(part.term) {
			changes["dwc:"+part.term] = strconv.Itoa(part.value)
		}
	}
	if len(changes) == 0 {
		return notAmended("there is no empty part of the date that eventDate could fill in")
	}
	return proposal(FilledIn, changes, "parts of the date are taken from eventDate")
}

// dayMeant reads a day of a month: a whole number, perhaps with a fraction of
// zero or the ending of an ordinal number in English ("23rd"), or a full stop
// as in German and Danish; 0 where it is none.
func dayMeant(text string) int {
	text = strings.ToLower(trim(text))
	text = strings.TrimSuffix(strings.TrimSuffix(text, ".0"), ".")
	if isWhole(1, 31)(text) {
		n, _ := integer(text)
		return n
	}
	if len(text) < 3 || !isWhole(1, 31)(text[:len(text)-2]) {
		return 0
	}
	n, _ := integer(text[:len(text)-2])
	ending := "th"
	if n < 10 || n > 20 {
		switch n % 10 {
		case 1:
			ending = "st"
		case 2:
			ending = "nd"
		case 3:
			ending = "rd"
		}
	}
	if text[len(text)-2:] != ending {
		return 0
	}
	return n
}

// inDigits writes the number that a text means, "" for 0.
func inDigits(meant func(string) int) func(string) string {
	return func(text string) string {
		if n := meant(text); n > 0 {
			return strconv.Itoa(n)
		}
		return ""
	}
}

// monthMeant reads a month as a number, a name, an abbreviation or a Roman
// numeral; 0 where it is none. A small x may be a mark for "not known", so it
// is not read.
func monthMeant(text string) int {
	text = trim(text)
	if n, ok := integer(strings.TrimSuffix(text, ".0")); ok {
		if n < 1 || n > 12 {
			return 0
		}
		return n
	}
	name := strings.TrimSuffix(text, ".")
	if name == "x" || name == "" || strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) }) {
		return 0
	}
	if iv, ok := parseInterval(dateMeant(name + " 2000")); ok && iv.precision == toMonth && !iv.isRange {
		return int(iv.first.Month())
	}
	return 0
}
