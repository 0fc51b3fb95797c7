package calendar

import (
	"fmt"
	"strings"
)

// season reads "Spring 1988" and "Winter 1987/88".
//
// A season of one year is published as the range of its three months if the
// hemisphere is known and the season lies in one year, else as the year alone.
// A season that spans the turn of the year needs both years to be a range:
// "Winter 1988" may be the one that began or the one that ended in 1988. Wet
// and dry seasons have no fixed months. Each way there is a problem, since the
// range is a convention and not what was written.
func (r *reader) season(s string, d *Date) bool {
	l := lex(s)
	row, ok := vocabulary().seasons[fold(strings.Join(l.unknown, " "))]
	if !ok || len(l.fields) == 0 || len(l.fields) > 2 || !l.fields[0].isYear() {
		return false
	}
	first := r.year(l.fields[0])
	last := first
	if len(l.fields) == 2 {
		f := l.fields[1]
		switch {
		case f.isYear():
			last = r.year(f)
		case f.number && len(f.text) == 2:
			last = first/100*100 + f.value
		}
		if last != first+1 {
			return false
		}
	}
	from, to := row.months(r.o.Hemisphere)
	d.Season = row.Name
	reason := fmt.Sprintf("only the %s of %s is written", row.Name, yearsText(first, last))
	switch {
	case from > 0 && from <= to && first == last:
		d.Start, d.End, d.Precision = Day{first, from, 1}, Day{first, to, daysIn(first, to)}, ToMonth
	case from > to && first < last:
		d.Start, d.End, d.Precision = Day{first, from, 1}, Day{last, to, daysIn(last, to)}, ToMonth
	default:
		d.Start, d.End, d.Precision = Day{first, 1, 1}, Day{last, 12, 31}, ToYear
	}
	d.ISO = isoPart(d.Start, d.Precision)
	if e := isoPart(d.End, d.Precision); e != d.ISO {
		d.ISO += "/" + e
	}
	d.Doubtful = true
	r.problem(ruleSeason, reason, "")
	return true
}

func yearsText(first, last int) string {
	if first == last {
		return fmt.Sprint(first)
	}
	return fmt.Sprintf("%d/%d", first, last)
}

// months returns the first and last month of a season, 0 if they are not fixed
// or the hemisphere is not known.
func (s season) months(hemisphere byte) (from, to int) {
	switch hemisphere {
	case 'N':
		return s.NorthFrom, s.NorthTo
	case 'S':
		return s.SouthFrom, s.SouthTo
	}
	return 0, 0
}
