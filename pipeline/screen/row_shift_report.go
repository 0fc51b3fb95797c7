package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// reportShift writes a row shift as one finding on the cells of the part; false where
// it has none of them.
func (j *search) reportShift(s rowShift, lost []lostCell) (out record.Finding, own bool) {
	mends := j.shiftedBack(s, lost)
	s.rows = slices.DeleteFunc(slices.Clone(s.rows), func(i int) bool { return !j.own.holds(i) })
	lost = slices.DeleteFunc(slices.Clone(lost), func(l lostCell) bool { return !j.own.holds(l.row) })
	if len(s.rows) == 0 {
		return out, false
	}
	var places []record.Address
	var names []string
	for _, name := range s.columns {
		names = append(names, label(name))
		for _, i := range s.rows {
			if c := j.ownCell(i, name); c != nil {
				places = append(places, c.first().From)
			}
		}
	}
	for _, l := range lost {
		places = append(places, j.rows[l.row].find(l.column).first().From)
	}
	sorting.Func(places, record.Address.Compare)
	places = slices.Compact(places)
	slices.Sort(names)
	first, last := s.rows[0], s.rows[len(s.rows)-1]
	where := "below"
	if s.by < 0 {
		where = "above"
	}
	top, bottom := j.rows[first].capture.Row, j.rows[last].capture.Row
	out = record.Finding{
		Rule: "rows-shifted", Level: record.Warning, At: places[0], Also: places[1:], Capture: j.rows[first].capture.Key,
		Group: fmt.Sprintf("rows %d to %d of the table, n = %d", top, bottom, len(s.rows)),
		Figures: []record.Figure{{Name: "n", Value: float64(len(s.rows))}, {Name: "cells", Value: float64(len(places))},
			{Name: "statistic", Value: s.odds}, {Name: "threshold", Value: surely}, {Name: "posterior", Value: 1 / (1 + math.Exp(-s.odds))}},
		Reason: fmt.Sprintf("from row %d to row %d the values of %s fit the animals of their rows badly, and well if each animal gets those of the row %s: they seem to have shifted by one row (log odds %.3g against %d).",
			top, bottom, strings.Join(names, " and "), where, s.odds, surely),
	}
	out.Spread, out.Mends = record.Together, mends
	for _, l := range lost {
		if c := j.rows[l.row].find(l.column); c.first().From == out.At {
			out.Field, out.Value = l.column, c.first().Verbatim
		}
	}
	for _, name := range s.columns {
		if c := j.ownCell(first, name); c != nil && c.first().From == out.At {
			out.Field, out.Value = name, c.first().Verbatim
			if n := j.neighbour(first, s.by); n >= 0 {
				if o := j.ownCell(n, name); o != nil {
					out.Suggestion = swapText(c.first(), o.first())
				}
			}
		}
	}
	return out, true
}

// shiftedBack says what the cells of a row shift in the part would be if each animal got the values
// of its neighbour: those whose own value stands nowhere are blank, and blanks
// among them and before them are filled.
func (j *search) shiftedBack(s rowShift, lost []lostCell) []record.Mend {
	rows := slices.Clone(s.rows)
	first := s.rows[0]
	if s.by < 0 {
		first = s.rows[len(s.rows)-1]
	}
	if before := j.neighbour(first, -s.by); before >= 0 {
		rows = append(rows, before)
	}
	var out []record.Mend
	for _, name := range s.columns {
		column := 0
		for _, i := range s.rows {
			if c := j.ownCell(i, name); c != nil {
				column = c.first().From.Column
			}
		}
		for k, i := range rows {
			n := j.neighbour(i, s.by)
			if n < 0 || !j.own.holds(i) {
				continue
			}
			own, other := j.ownCell(i, name), j.ownCell(n, name)
			switch {
			case other == nil:
			case j.rows[i].find(name) == nil:
				at := j.rows[i].capture.Address()
				at.Column = column
				out = append(out, record.Mend{At: at, Text: other.first().Verbatim})
			case own != nil && k < len(s.rows):
				out = append(out, record.Mend{At: own.first().From, Text: swapText(own.first(), other.first())})
			}
		}
	}
	for _, l := range lost {
		if !j.own.holds(l.row) {
			continue
		}
		out = append(out, record.Mend{At: j.rows[l.row].find(l.column).first().From})
	}
	sorting.Func(out, func(a, b record.Mend) int { return a.At.Compare(b.At) })
	return out
}
