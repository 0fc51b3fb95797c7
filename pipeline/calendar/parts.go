package calendar

import (
	"strconv"

	"spadefoot/pipeline/record"
)

// Month reads a month that is alone: a number from 1 to 12, a name in
// one of the languages known here, or a Roman numeral. It gives 0 for anything
// else.
func Month(text string) int {
	word := fold(clean(text))
	if m := vocabulary().months[word]; m > 0 {
		return m
	}
	if m := romans[word]; m > 0 {
		return m
	}
	if n, err := strconv.Atoi(word); err == nil && n >= 1 && n <= 12 {
		return n
	}
	return 0
}

// IsWeekday reports whether a word is the name of a day of the week in one of the
// languages known here.
func IsWeekday(text string) bool { return vocabulary().weekdays[fold(clean(text))] > 0 }

// Year reads a year that is alone, of four digits or of two. Two are
// settled by the years of the survey; without these there is a problem. It
// gives 0 for anything else.
func Year(text string, o Options) (year int, problems []record.Problem) {
	s := clean(text)
	n, err := strconv.Atoi(s)
	if err != nil || len(s) != 2 && !(len(s) == 4 && plausibleYear(n)) {
		return 0, nil
	}
	r := &reader{o: o}
	year = r.year(field{number: true, text: s, value: n})
	return year, r.problems
}

// FromParts puts a date together from a year and, where they are known, a month
// and a day; 0 stands for one that is not. A day without a month says nothing.
func FromParts(year, month, day int, o Options) Date {
	p := parts{y: year, m: month, d: day}
	if month == 0 {
		p.d = 0
	}
	var d Date
	r := &reader{o: o}
	var ok bool
	if d.Start, d.End, d.Precision, ok = p.extent(); !ok {
		r.impossible(p)
		return Date{Problems: r.problems}
	}
	d.ISO = isoPart(d.Start, d.Precision)
	return d.look(o)
}

// ParseDayFraction reads a part of a day, as spreadsheets keep times: 0.25 is
// 06:00. ok is false for anything but a number from 0 to below 1.
func ParseDayFraction(text string) (t Time, ok bool) {
	s := clean(text)
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || f < 0 || f >= 1 || s[0] != '0' && s[0] != '.' {
		return Time{}, false
	}
	t = fractionOfDay(f)
	if t.Start.Hour > 23 {
		return Time{}, false // rounds to the midnight after
	}
	t.Problems = []record.Problem{{Rule: ruleSerial, Level: levels[ruleSerial], Reason: "the number is a part of a day, as spreadsheets keep times"}}
	return t, true
}
