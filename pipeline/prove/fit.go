package prove

import (
	"fmt"
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

// fitting is where the columns stand whose values have to fit each other, -1
// for those that there are not.
type fitting struct {
	ranges                 [][2]int
	latitude, longitude    int
	date, year, month, day int
	unit, measured         int
	known                  memo // dates with their parts that fit
	scratch                []byte
}

func fittingOf(cols []column) fitting {
	find := func(name string) int { return columnNamed(cols, name) }
	f := fitting{latitude: find("decimalLatitude"), longitude: find("decimalLongitude"),
		date: find("eventDate"), year: find("year"), month: find("month"), day: find("day"),
		unit: find("measurementUnit"), measured: find("measurementValue")}
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

// columnNamed gives the first column of a name, -1 for none.
func columnNamed(cols []column, name string) int {
	return slices.IndexFunc(cols, func(c column) bool { return c.name == name })
}

// said gives what a column says, if there is one.
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
	if (len(j.said(f.latitude)) == 0) != (len(j.said(f.longitude)) == 0) {
		return false
	}
	if f.unit >= 0 && len(j.value(f.unit)) > 0 {
		if v := j.said(f.measured); len(v) > 0 && !plainNumeric(v) {
			return false
		}
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

// get gives the value of a term by name.
func (j *judge) get(term string) string { return string(j.said(columnNamed(j.table.cols, term))) }

// misfits reports the values of the row that do not fit each other.
func (j *judge) misfits(row int) {
	together(j.get, func(field string, f fault) {
		at := record.Address{File: j.table.name, Row: row}
		for _, c := range j.table.cols {
			if c.name == field {
				at.Column = c.index + 1
			}
		}
		j.out.found.add(record.Finding{Rule: f.rule, Level: j.table.level(f.rule), At: at, Field: field, Value: j.get(field), Reason: f.reason, Reference: dwcSpace + "terms/" + field})
	})
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
		report("decimalLatitude", fault{"values-disagree", "latitude and longitude have to be given together", ""})
	}
	dateParts(get, report)
	if get("measurementUnit") != "" {
		if v := get("measurementValue"); v != "" && !numeric(v) {
			report("measurementValue", fault{"measurement-not-number", "a value with a unit should be a number, a bound such as <0.5, or a range such as 40-42", ""})
		}
	}
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
