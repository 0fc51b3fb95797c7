package calendar

import (
	"fmt"
	"strings"
)

// spanMarks part the ends of a range, surest first.
var spanMarks = []string{
	" - ", " to ", " until ", " till ", " thru ", " through ", " bis ", " bis zum ", " hasta ", " até ",
	" al ", " au ", " à ", " a ", " & ", " and ", " und ", " et ", " y ", " e ", " + ", "...", "..",
	"/", "-", " -", "- ", "&", "+", ",",
}

// maxEnds is the number of places at which a text is parted into the ends of a
// range: more marks than that are in no date.
const maxEnds = 24

// listMarks name single days rather than a range.
var listMarks = map[string]bool{
	" & ": true, " and ": true, " und ": true, " et ": true, " y ": true, " e ": true, " + ": true,
	"&": true, "+": true, ",": true,
}

// span reads a range of two dates that may share what is written once:
// "3-5 June 1987", "30 Jun - 2 Jul 2021", "2021-06-03/05".
func (r *reader) span(s string, d *Date) bool {
	lower := strings.ToLower(s)
	if len(lower) != len(s) {
		lower = s // a letter whose small form has another length
	}
	s = strings.TrimSpace(trimPrefixes(s, lower, "from ", "between ", "del ", "de ", "du ", "vom ", "von ", "entre "))
	lower = strings.ToLower(s)
	if len(lower) != len(s) {
		lower = s
	}
	tries := 0
	for _, m := range spanMarks {
		for i := strings.Index(lower, m); i >= 0; {
			if tries++; tries > maxEnds {
				return false
			}
			kept := len(r.problems)
			if r.ends(strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+len(m):]), m, d) {
				if listMarks[m] && d.Precision == ToDay && d.Start.Add(1) != d.End {
					d.Remark = joined(d.Remark, s) // the days between were not written
				}
				return true
			}
			if worst(r.problems[kept:]) {
				return false
			}
			r.problems = r.problems[:kept]
			next := strings.Index(lower[i+1:], m)
			if next < 0 {
				break
			}
			i += 1 + next
		}
	}
	return false
}

func trimPrefixes(s, lower string, prefixes ...string) string {
	for _, p := range prefixes {
		if strings.HasPrefix(lower, p) {
			return s[len(p):]
		}
	}
	return s
}

// ends reads the two sides of a range.
func (r *reader) ends(left, right, mark string, d *Date) bool {
	if left == "" || right == "" {
		return false
	}
	quiet := len(r.problems)
	b, lb, okB := r.side(right)
	a, la, okA := r.side(left)
	if !okB && okA && a.y > 0 && a.d > 0 {
		if t := ParseTime(right); t.ISO != "" && !t.Range && a.clock.ISO != "" {
			b, okB = parts{y: a.y, m: a.m, d: a.d, clock: t}, true
			if t.Start.before(a.clock.Start) {
				return false
			}
		}
	}
	if !okA || !okB || len(la.unknown) > 0 || lb.inside || len(lb.unknown) > 0 && b.m == 0 {
		r.problems = r.problems[:quiet]
		return false
	}
	if mark == "," && a.y > 0 && b.y == 0 || !share(&a, &b, r) {
		r.problems = r.problems[:quiet]
		return false
	}
	sameOrder(&a, &b)
	sameOrder(&b, &a)
	if a.open || b.open {
		return r.openEnds(a, b, d)
	}
	return r.fillSpan(a, b, lb, d)
}

// sameOrder settles the end that reads both ways by the one that does not:
// "30.06.-02.07.2021".
func sameOrder(a, b *parts) {
	if a.open && !b.open && b.order != Unknown && a.d > 0 && a.m > 0 {
		a.open = false
		if b.order == MDY {
			a.d, a.m = a.m, a.d
		}
	}
}

// share gives each end what only the other one has.
func share(a, b *parts, r *reader) bool {
	if a.m > 0 && a.d > 0 && a.y == 0 && b.byNum && b.d == 0 && b.y > 0 {
		b.d, b.m, b.byNum = b.m, a.m, false // "June 3-5, 1987"
	}
	if a.y > 0 && a.m == 0 && b.y == 0 && b.m == 0 && b.d > 0 {
		b.y, b.d = a.y/100*100+b.d, 0 // "1987-89"
		return b.y > a.y
	}
	if a.yearFirst && b.y == 0 && b.byNum {
		if b.order != MDY {
			b.m, b.d = b.d, b.m // "2021-06-03/06-05": the month first, as before
		}
		b.open = false
	}
	if b.d > 0 && b.m == 0 {
		b.m = a.m
	}
	if a.d > 0 && a.m == 0 {
		a.m, a.open = b.m, a.open || b.open
	}
	if b.y == 0 {
		b.y = a.y
	}
	if a.y == 0 && b.y > 0 {
		a.y = b.y
		if a.m > b.m {
			a.y-- // "30 Dec - 2 Jan 2022"
		}
	}
	if a.y == 0 && a.m > 0 && b.m > 0 {
		if r.o.DefaultYear == 0 {
			r.problem(ruleNoYear, "the range is written without a year", "")
			return true
		}
		a.y, b.y = r.o.DefaultYear, r.o.DefaultYear
		r.problem(ruleYearTaken, fmt.Sprintf("the year %d is taken from the survey", a.y), "")
	}
	return a.y > 0 && b.y > 0 && (a.d > 0) == (b.d > 0) && (a.m > 0) == (b.m > 0)
}

// openEnds publishes the years of a range whose days and months may be the
// other way round.
func (r *reader) openEnds(a, b parts, d *Date) bool {
	r.problem(ruleOrder, "the range can be read as day-month or as month-day", "")
	a, b = parts{y: a.y}, parts{y: b.y}
	if a.y == b.y {
		return r.fill(d, a)
	}
	return r.fillSpan(a, b, lexed{}, d)
}

func (r *reader) fillSpan(a, b parts, l lexed, d *Date) bool {
	if a.y == 0 {
		return false
	}
	from, _, precision, okA := a.extent()
	last, to, _, okB := b.extent()
	switch {
	case !okA:
		r.impossible(a)
		return false
	case !okB:
		r.impossible(b)
		return false
	case last.Compare(from) < 0:
		r.problem(ruleReversed, isoPart(last, precision)+" is before "+isoPart(from, precision),
			isoPart(last, precision)+"/"+isoPart(from, precision))
		return false
	}
	if len(l.unknown) > 0 {
		d.Remark = joined(d.Remark, strings.Join(l.unknown, " "))
	}
	d.Start, d.End, d.Precision = from, to, precision
	d.ISO = isoPart(from, precision)
	if last != from {
		d.ISO += "/" + isoPart(last, precision)
	}
	switch {
	case a.clock.ISO != "" && b.clock.ISO != "" && a.d > 0:
		d.ISO = r.stamp(from, a.clock.Start, a.clock.Offset) + "/" + r.stamp(to, b.clock.Start, b.clock.Offset)
		d.Precision = min(a.clock.Precision, b.clock.Precision)
	case a.clock.ISO != "" || b.clock.ISO != "":
		r.problem(ruleTimeLoose, "only one end of the range has a time of day", "")
	}
	return true
}
