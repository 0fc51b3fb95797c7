package prove

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

// ranges are pairs of terms of which the first may not be more than the second.
var ranges = [][2]string{
	{"minimumElevationInMeters", "maximumElevationInMeters"}, {"minimumDepthInMeters", "maximumDepthInMeters"},
	{"minimumDistanceAboveSurfaceInMeters", "maximumDistanceAboveSurfaceInMeters"},
}

// fitting is where the columns are whose values have to fit each other, -1 for
// those that are missing.
type fitting struct {
	ranges                 [][2]int
	latitude, longitude    int
	date, year, month, day int
	unit, measured, kind   int // kind and measured are -1 together
	count, status, own     int
	known                  memo // dates with their parts that fit
	scratch                []byte
}

func fittingOf(cols []column) fitting {
	find := func(name string) int { return columnNamed(cols, name) }
	f := fitting{latitude: find("decimalLatitude"), longitude: find("decimalLongitude"),
		date: find("eventDate"), year: find("year"), month: find("month"), day: find("day"),
		unit: find("measurementUnit"), measured: find("measurementValue"), kind: find("measurementType"),
		count: find("individualCount"), status: find("occurrenceStatus"), own: find("measurementID")}
	if f.measured < 0 || f.kind < 0 {
		f.kind = -1
	}
	for _, r := range ranges {
		if low, high := find(r[0]), find(r[1]); low >= 0 && high >= 0 {
			f.ranges = append(f.ranges, [2]int{low, high})
		}
	}
	if f.year < 0 && f.month < 0 && f.day < 0 {
		f.date = -1 // nothing to compare it with
	}
	return f
}

// columnNamed returns the first column of a name, -1 for none.
func columnNamed(cols []column, name string) int {
	return slices.IndexFunc(cols, func(c column) bool { return c.name == name })
}

// said returns what a column says, if there is one.
func (j *judge) said(i int) []byte {
	if i < 0 {
		return nil
	}
	return j.value(i)
}

// fitting reports whether the values of the row fit each other in one of the
// usual ways. What it does not accept, misfits decides.
func (j *judge) fitting() bool {
	f := &j.fits
	v, unit := j.said(f.measured), j.said(f.unit)
	switch {
	case (len(j.said(f.latitude)) == 0) != (len(j.said(f.longitude)) == 0),
		zero(j.said(f.latitude)) && zero(j.said(f.longitude)),
		f.count >= 0 && f.status >= 0 && !agrees(string(j.value(f.count)), string(j.value(f.status))),
		f.kind >= 0 && (len(v) == 0 || len(j.value(f.kind)) == 0),
		len(unit) == 0 && holdsUnit(v),
		len(unit) > 0 && len(v) > 0 && !plainNumeric(v):
		return false
	}
	for _, r := range f.ranges {
		low, high := j.value(r[0]), j.value(r[1])
		if len(low) == 0 || len(high) == 0 {
			continue
		}
		a, okA := plainDecimal(low)
		b, okB := plainDecimal(high)
		if !okA || !okB || a > b {
			return false
		}
	}
	return f.date < 0 || j.dated()
}

// dated compares the date of the event with year, month and day.
func (j *judge) dated() bool {
	f := &j.fits
	date := j.value(f.date)
	if len(date) == 0 {
		return true
	}
	year, month, day := j.said(f.year), j.said(f.month), j.said(f.day)
	if d, rest, ok := plainDay(date); ok && len(rest) == 0 && (len(year) == 0 || string(year) == string(date[:4])) && same(month, d.month) && same(day, d.day) {
		return true
	}
	f.scratch = f.scratch[:0]
	for _, v := range [][]byte{date, year, month, day} {
		f.scratch = append(append(f.scratch, v...), 0)
	}
	if f.known.has(f.scratch) {
		return true
	}
	good := true
	dateParts(j.get, func(string, fault) { good = false })
	if good {
		f.known.learn(f.scratch)
	}
	return good
}

func same(text []byte, n int) bool {
	got, ok := plainCount(text)
	return len(text) == 0 || ok && got == n
}

// get returns the value of a term by name.
func (j *judge) get(term string) string { return string(j.said(columnNamed(j.table.cols, term))) }

// misfits reports the values of the row that do not fit each other.
func (j *judge) misfits(row int) {
	report := func(field string, f fault) {
		if j.table.strict && field == "individualCount" {
			return // the run has said so at the cell
		}
		at := record.Address{File: j.table.name, Row: row}
		for _, c := range j.table.cols {
			if c.name == field {
				at.Column = c.index + 1
			}
		}
		j.out.found.add(record.Finding{Rule: f.rule, Level: j.table.level(f.rule), At: at, Field: field, Value: j.get(field), Reason: f.reason, Reference: dwcSpace + "terms/" + field})
	}
	together(j.get, report)
	if j.fits.kind >= 0 {
		measured(j.get, report)
	}
}

// together judges values that have to fit each other. Get gives the text of a
// term by name.
func together(get func(string) string, report func(field string, f fault)) {
	for _, p := range ranges {
		a, okA := decimal(get(p[0]))
		b, okB := decimal(get(p[1]))
		if okA && okB && a > b {
			report(p[0], fault{"values-disagree", fmt.Sprintf("it is more than %s (%s)", p[1], get(p[1])), ""})
		}
	}
	lat, lon := get("decimalLatitude"), get("decimalLongitude")
	if (lat == "") != (lon == "") {
		report("decimalLatitude", fault{"values-disagree", "latitude and longitude must be given together", ""})
	}
	if zero([]byte(lat)) && zero([]byte(lon)) {
		report("decimalLatitude", fault{"place-zero", "latitude and longitude are both 0, which usually means that the place is not known", ""})
	}
	if n, status := get("individualCount"), get("occurrenceStatus"); !agrees(n, status) {
		report("individualCount", fault{"values-disagree", "it does not fit occurrenceStatus " + status, ""})
	}
	dateParts(get, report)
	if get("measurementUnit") == "" && holdsUnit([]byte(get("measurementValue"))) {
		report("measurementValue", fault{"measurement-not-number", "the unit is in the value; it belongs in measurementUnit", ""})
	}
	if get("measurementUnit") != "" {
		if v := get("measurementValue"); v != "" && !numeric(v) {
			report("measurementValue", fault{"measurement-not-number", "a value with a unit should be a number, a bound such as <0.5, or a range such as 40-42", ""})
		}
	}
}

// measured reports what a measurement lacks.
func measured(get func(string) string, report func(field string, f fault)) {
	for _, name := range []string{"measurementType", "measurementValue"} {
		if get(name) == "" {
			report(name, fault{"measurement-incomplete", "the measurement has no " + strings.ToLower(strings.TrimPrefix(name, "measurement")), ""})
		}
	}
}

func zero(text []byte) bool {
	if len(text) == 0 || text[0] != '0' && text[0] != '-' && text[0] != '+' {
		return false
	}
	x, ok := decimal(string(text))
	return ok && x == 0
}

// holdsUnit reports whether a value is a number with letters behind it.
func holdsUnit(v []byte) bool {
	return len(v) > 1 && v[0] >= '0' && v[0] <= '9' && unitBehind.Match(v)
}

var unitBehind = regexp.MustCompile(`^\d+(?:[.,]\d+)? ?(?:[a-zµ]{0,2}[mgl]|°[CF]|%)$`)

// agrees reports whether a count and a status go together.
func agrees(count, status string) bool {
	switch status {
	case "present", "detected":
		n, ok := decimal(count)
		return !ok || n != 0
	case "absent", "notDetected":
		n, ok := decimal(count)
		return !ok || n == 0
	}
	return true
}

// dateParts compares year, month and day with the date of the event.
func dateParts(get func(string) string, report func(field string, f fault)) {
	s, err := terms.ParseSpan(get("eventDate"))
	if err != nil {
		return
	}
	year := get("year")
	if n, err := strconv.Atoi(year); err == nil && (n < s.From.Year() || s.Last() < fmt.Sprintf("%04d", n)) {
		report("year", fault{"values-disagree", "it does not fit eventDate " + get("eventDate"), ""})
		return
	}
	if s.Days > 1 || s.First() != s.Last() || strings.Contains(get("eventDate"), "T") {
		return
	}
	for name, want := range map[string]int{"month": int(s.From.Month()), "day": s.From.Day()} {
		if n, err := strconv.Atoi(get(name)); err == nil && n != want {
			report(name, fault{"values-disagree", "it does not fit eventDate " + get("eventDate"), ""})
		}
	}
}
