package calendar

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
)

// parts is a date as far as it was written; zero for what was not.
type parts struct {
	y, m, d   int
	open      bool // day and month may be the other way round
	byNum     bool // the month was written as a number
	order     Order
	yearFirst bool // written in the order of ISO 8601
	decade    bool
	maybeYear bool // the number beside a month may also be a year: Jun-21
	clock     Time // time of day written with the date
}

// reader reads one cell. Problems that come up on the way are kept apart until
// a reading is accepted.
type reader struct {
	o        Options
	problems []record.Problem
}

func (r *reader) problem(rule, reason, suggestion string) {
	for _, p := range r.problems {
		if p.Rule == rule && p.Reason == reason {
			return
		}
	}
	r.problems = append(r.problems, record.Problem{
		Rule: rule, Level: levels[rule], Reason: reason, Suggestion: suggestion,
	})
}

// single reads the fields of one date, whole or in part.
func (r *reader) single(l lexed) (parts, bool) {
	fs := l.fields
	for i, f := range fs {
		if i > 0 && strings.Trim(f.sep, " -/.,_'") != "" || i == 0 && strings.Trim(f.sep, " ,.'#") != "" {
			return parts{}, false
		}
	}
	if l.dayWord && len(fs) == 2 && fs[0].isYear() != fs[1].isYear() && fs[0].number && fs[1].number {
		return r.ordinal(fs)
	}
	switch len(fs) {
	case 1:
		return r.one(fs[0])
	case 2:
		return r.two(fs[0], fs[1])
	case 3:
		return r.three(fs)
	}
	return parts{}, false
}

func (r *reader) one(f field) (parts, bool) {
	switch {
	case f.month > 0 && !f.roman:
		return parts{m: f.month}, true
	case f.plural && f.isYear():
		return parts{y: f.value, decade: true}, f.value%10 == 0
	case f.isYear():
		return parts{y: r.year(f)}, true
	case f.number && len(f.text) <= 2 && f.value > 0:
		return parts{d: f.value}, true
	case f.number && len(f.text) == 6:
		return r.six(f)
	case f.number:
		return r.eight(f)
	}
	return parts{}, false
}

// eight reads 20210603, or 03062021 in the order of the column.
func (r *reader) eight(f field) (parts, bool) {
	a, b, c, ok := f.eight()
	switch {
	case !ok:
		return parts{}, false
	case a.isYear():
		return parts{y: a.value, m: b.value, d: c.value}, true
	}
	return r.three([]field{a, b, c})
}

func (r *reader) two(a, b field) (parts, bool) {
	switch {
	case a.month > 0 && b.month > 0:
		return parts{}, false
	case a.month > 0:
		return r.monthAnd(a, b)
	case b.month > 0:
		return r.monthAnd(b, a)
	case a.isYear() && b.isYear():
		return parts{}, false
	case a.isYear():
		return r.yearAnd(a, b)
	case b.isYear():
		return r.yearAnd(b, a)
	case a.isDay() && b.isDay() && !a.blank && !b.blank:
		return r.dayMonth(0, a, b)
	}
	return parts{}, false
}

// monthAnd reads a named month with a year or a day.
func (r *reader) monthAnd(m, f field) (parts, bool) {
	switch {
	case f.isYear() || f.number && len(f.text) == 2 && f.value > 31:
		return parts{y: r.year(f), m: m.month}, true
	case f.blank:
		return parts{m: m.month}, true
	case f.isDay() && len(f.text) == 2:
		return parts{m: m.month, d: f.value, maybeYear: true}, true
	case f.isDay():
		return parts{m: m.month, d: f.value}, true
	}
	return parts{}, false
}

// yearAnd reads a year with the number of a month or of a day of the year.
func (r *reader) yearAnd(y, f field) (parts, bool) {
	switch {
	case f.blank:
		return parts{y: r.year(y)}, true
	case f.number && len(f.text) == 3:
		return r.ordinal([]field{y, f})
	case f.isDay() && f.value <= 12:
		return parts{y: r.year(y), m: f.value, byNum: true}, true
	}
	return parts{}, false
}

// ordinal reads a year and a day counted from its start.
func (r *reader) ordinal(fs []field) (parts, bool) {
	if len(fs) != 2 {
		return parts{}, false
	}
	y, n := fs[0], fs[1]
	if !y.isYear() {
		y, n = n, y
	}
	if !y.isYear() || !n.number || len(n.text) > 3 {
		return parts{}, false
	}
	d, ok := YearDay(r.year(y), n.value)
	if !ok {
		r.problem(ruleImpossible, fmt.Sprintf("%d has no day %d", r.year(y), n.value), "")
		return parts{}, false
	}
	return parts{y: d.Year, m: d.Month, d: d.Day}, true
}
