package calendar

import (
	"fmt"
	"regexp"
	"strings"

	"spadefoot/pipeline/record"
)

// longest bounds what is looked at as a date, in bytes.
const longest = 160

// Parse reads one cell. It never fails: what is not understood has an empty
// ISO and a problem that says why.
func Parse(text string, o Options) Date {
	s := clean(text)
	if day, ok := plainISO(s); ok {
		return Date{ISO: s, Start: day, End: day, Precision: ToDay}.look(o)
	}
	if isMissing(s) {
		return Date{Missing: true}
	}
	var d Date
	if len(s) > longest {
		d.problem(ruleUnread, fmt.Sprintf("a text of %d characters is not a date", len(s)), "")
		return d
	}
	body := d.notes(namedParts(s))
	r := &reader{o: o}
	if !r.read(body, &d) {
		d.Start, d.End, d.ISO, d.Precision = Day{}, Day{}, "", None
		d.Problems = append(d.Problems, r.problems...)
		if !worst(d.Problems) {
			reason, suggestion := record.Either(fmt.Sprintf("%q cannot be read as a date", s), r.suggest(body)...)
			d.problem(ruleUnread, reason, suggestion)
		}
		return d
	}
	d.Problems = append(d.Problems, r.problems...)
	if d.Doubtful && d.Season == "" {
		d.problem(ruleDoubtful, fmt.Sprintf("%q is marked as doubtful or approximate", s), "")
	}
	return d.look(o)
}

// Missing reports whether a text says that there is no date.
func Missing(text string) bool { return isMissing(clean(text)) }

// partsForm is a date whose parts carry the signs for year, month and day that
// Chinese, Japanese and Korean have.
var partsForm = regexp.MustCompile(`^(\d{4}) ?[年년](?: ?(\d{1,2}) ?[月월](?: ?(\d{1,2}) ?[日일号號])?)?$`)

// namedParts writes such a date as ISO 8601 does, and leaves others alone.
func namedParts(s string) string {
	m := partsForm.FindStringSubmatch(s)
	if m == nil {
		return s
	}
	iso := m[1]
	for _, part := range m[2:] {
		if part != "" {
			iso += "-" + strings.Repeat("0", 2-len(part)) + part
		}
	}
	return iso
}

// worst reports whether one of the problems is an error.
func worst(ps []record.Problem) bool {
	for _, p := range ps {
		if p.Level == record.Error {
			return true
		}
	}
	return false
}

// plainISO reads the usual form without taking it apart.
func plainISO(s string) (Day, bool) {
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return Day{}, false
	}
	n := [3]int{}
	for i, span := range [3][2]int{{0, 4}, {5, 7}, {8, 10}} {
		for _, c := range []byte(s[span[0]:span[1]]) {
			if c < '0' || c > '9' {
				return Day{}, false
			}
			n[i] = n[i]*10 + int(c-'0')
		}
	}
	d := Day{n[0], n[1], n[2]}
	return d, d.Valid() && plausibleYear(d.Year)
}

func isMissing(s string) bool {
	return s == "" || vocabulary().missing[fold(s)] || strings.Trim(s, "-/._?* ") == ""
}

// read tries the forms of a date in turn and fills d with the first that fits.
func (r *reader) read(s string, d *Date) bool {
	forms := []func(string, *Date) bool{r.serial, r.season, r.plain, r.span}
	for _, form := range forms {
		kept := len(r.problems)
		if form(s, d) {
			return true
		}
		if len(r.problems) > kept && worst(r.problems[kept:]) {
			return false
		}
		r.problems = r.problems[:kept]
	}
	return false
}

// plain reads one date, with or without a time of day.
func (r *reader) plain(s string, d *Date) bool {
	p, l, ok := r.side(s)
	if !ok {
		return false
	}
	if len(l.unknown) > 0 {
		if l.inside {
			return false
		}
		d.Remark = joined(d.Remark, strings.Join(l.unknown, " "))
	}
	if p.y == 0 && !r.supplyYear(&p) {
		return false
	}
	if !r.fill(d, p) {
		return false
	}
	r.weekday(d, l.weekday)
	r.withTime(d, p.clock)
	return true
}

// side reads one end of a range, or the whole of a single date.
func (r *reader) side(s string) (parts, lexed, bool) {
	body, clock := cutTime(s)
	l := lex(body)
	p, ok := r.single(l)
	p.clock = clock
	return p, l, ok
}

// supplyYear puts the survey's year to a date of day and month.
func (r *reader) supplyYear(p *parts) bool {
	if p.m == 0 {
		return false
	}
	what := "the month is"
	if p.d > 0 {
		what = "the day and month are"
	}
	if r.o.DefaultYear == 0 {
		suggestion := ""
		if p.maybeYear {
			quiet := &reader{o: r.o}
			two := field{number: true, text: fmt.Sprintf("%02d", p.d), value: p.d}
			suggestion = fmt.Sprintf("%04d-%02d", quiet.year(two), p.m)
		}
		r.problems = nil
		r.problem(ruleNoYear, "only "+what+" written, without a year", suggestion)
		return false
	}
	p.y = r.o.DefaultYear
	r.problem(ruleYearTaken, fmt.Sprintf("the year %d is taken from the survey", p.y), "")
	return true
}

// fill puts one date with a year into d.
func (r *reader) fill(d *Date, p parts) bool {
	if p.decade {
		d.Start, d.End, d.Precision = Day{p.y, 1, 1}, Day{p.y + 9, 12, 31}, ToDecade
		d.ISO = d.Start.String() + "/" + d.End.String()
		return true
	}
	if p.open {
		r.problem(ruleOrder, fmt.Sprintf("%d and %d can be day and month, or month and day: %s or %s", p.d, p.m, Day{p.y, p.m, p.d}, Day{p.y, p.d, p.m}), "")
		p.m, p.d = 0, 0
	}
	var ok bool
	if d.Start, d.End, d.Precision, ok = p.extent(); !ok {
		r.impossible(p)
		return false
	}
	d.ISO = isoPart(d.Start, d.Precision)
	return true
}

// extent returns the first and last day that the parts leave open.
func (p parts) extent() (start, end Day, precision Precision, ok bool) {
	switch {
	case p.m == 0:
		return Day{p.y, 1, 1}, Day{p.y, 12, 31}, ToYear, p.y > 0
	case p.m > 12:
		return Day{}, Day{}, None, false
	case p.d == 0:
		return Day{p.y, p.m, 1}, Day{p.y, p.m, daysIn(p.y, p.m)}, ToMonth, true
	}
	day := Day{p.y, p.m, p.d}
	return day, day, ToDay, day.Valid()
}

// impossible says what is wrong with a day that the calendar does not have and
// suggests the last day of the month for the one after it.
func (r *reader) impossible(p parts) {
	if p.m < 1 || p.m > 12 {
		r.problem(ruleImpossible, fmt.Sprintf("there is no month %d", p.m), "")
		return
	}
	suggestion := ""
	if last := daysIn(p.y, p.m); p.d == last+1 && p.d <= 31 {
		suggestion = Day{p.y, p.m, last}.String()
	}
	r.problem(ruleImpossible, fmt.Sprintf("month %d of %d has no day %d", p.m, p.y, p.d), suggestion)
}

// isoPart writes a day to a precision.
func isoPart(d Day, p Precision) string {
	switch p {
	case ToYear:
		return fmt.Sprintf("%04d", d.Year)
	case ToMonth:
		return fmt.Sprintf("%04d-%02d", d.Year, d.Month)
	}
	return d.String()
}

func (r *reader) weekday(d *Date, n int) {
	if n > 0 && d.singleDay() && d.Start.Weekday() != n {
		r.problem(ruleWeekday, fmt.Sprintf("%s is not the day of the week as written", d.Start), "")
	}
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
