package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// pieceOf keeps what a row shift is in the part: rows of it, or no more than the
// cell past its end whose value was lost.
func (j *search) pieceOf(g *shiftGrid, s rowShift, lost []lostCell) {
	p := causePiece{Kind: ofShift, By: s.by, Rewrites: j.shiftedBack(s, lost)}
	from, to := s.rows[0], s.rows[len(s.rows)-1]
	for _, l := range lost {
		from, to = min(from, l.row), max(to, l.row)
	}
	p.Opens, p.Closes = from < j.own.from, to >= j.own.to
	p.Gain = j.gainOfShift(g, &s)
	rows := slices.DeleteFunc(slices.Clone(s.rows), func(i int) bool { return !j.own.holds(i) })
	for _, name := range s.columns {
		p.Names = append(p.Names, strings.Clone(name))
		for _, i := range rows {
			if c := j.ownCell(i, name); c != nil {
				p.Places = append(p.Places, c.first().From())
			}
		}
	}
	for _, l := range lost {
		if j.own.holds(l.row) {
			p.Places = append(p.Places, j.rows[l.row].find(l.column).first().From())
		}
	}
	if len(p.Places) == 0 {
		return
	}
	slices.Sort(p.Names)
	sorting.Func(p.Places, record.Address.Compare)
	p.Places = slices.Compact(p.Places)
	p.Cells, p.Rows, p.Table = len(p.Places), len(rows), j.rows[from].capture.Table
	top := s.rows[0]
	if len(rows) > 0 {
		top = rows[0]
		p.Top, p.Bottom = j.rows[top].capture.Row, j.rows[rows[len(rows)-1]].capture.Row
	}
	p.First = j.firstOfShift(&s, top, lost, p.Places[0])
	p.keep()
	j.pieces = append(j.pieces, p)
}

// gainOfShift is what the rows of the part gain by a row shift.
func (j *search) gainOfShift(g *shiftGrid, s *rowShift) (sum int64) {
	var columns []int
	for _, name := range s.columns {
		columns = append(columns, slices.Index(g.names, name))
	}
	by := make([]float64, len(g.names))
	for _, i := range s.rows {
		if !j.own.holds(i) {
			continue
		}
		if sight := g.shifts(i-g.from, s.by, by); sight != nil {
			if square, moved := g.changed(i-g.from, sight, by, columns); moved {
				sum += whole(sight.gain(square))
			}
		}
	}
	return sum
}

// firstOfShift is what the finding on a row shift says of its first cell, and of the
// capture of its top row.
func (j *search) firstOfShift(s *rowShift, top int, lost []lostCell, at record.Address) first {
	out := first{Capture: j.rows[top].capture.Key}
	for _, l := range lost {
		if c := j.rows[l.row].find(l.column); c.first().From() == at {
			out.Field, out.Value = l.column, c.first().Verbatim
		}
	}
	for _, name := range s.columns {
		if c := j.ownCell(top, name); c != nil && c.first().From() == at {
			out.Field, out.Value = name, c.first().Verbatim
			if n := j.neighbour(top, s.by); n >= 0 {
				if o := j.ownCell(n, name); o != nil {
					out.Suggestion = swapText(c.first(), o.first())
				}
			}
		}
	}
	return out
}

// reportShift writes a row shift as one finding.
func (x *Screening) reportShift(p *causePiece) record.Finding {
	odds := math.Log(x.find.f.settings.Odds.Shift) + float64(p.Gain)/gainUnit
	where := "below"
	if p.By < 0 {
		where = "above"
	}
	var names []string
	for _, name := range p.Names {
		names = append(names, label(name))
	}
	slices.Sort(names)
	out := p.finding("rows-shifted", record.Warning)
	out.Group = fmt.Sprintf("rows %d to %d of the table, n = %d", p.Top, p.Bottom, p.Rows)
	out.Figures = []record.Figure{{Name: "n", Value: float64(p.Rows)}, {Name: "cells", Value: float64(p.Cells)},
		{Name: "statistic", Value: odds}, {Name: "threshold", Value: surely}, {Name: "posterior", Value: 1 / (1 + math.Exp(-odds))}}
	out.Reason = fmt.Sprintf("from row %d to row %d the values of %s do not fit the animals of their rows, but fit well if each animal gets those of the row %s: they seem to have shifted by one row (log odds %.3g, limit %d).",
		p.Top, p.Bottom, strings.Join(names, " and "), where, odds, surely)
	return out
}

// shiftedBack says what the cells of a row shift in the part would be if each animal got the values
// of its neighbour: those whose own value stands nowhere are blank, and blanks
// among them and before them are filled.
func (j *search) shiftedBack(s rowShift, lost []lostCell) []record.Rewrite {
	rows := slices.Clone(s.rows)
	first := s.rows[0]
	if s.by < 0 {
		first = s.rows[len(s.rows)-1]
	}
	if before := j.neighbour(first, -s.by); before >= 0 {
		rows = append(rows, before)
	}
	var out []record.Rewrite
	for _, name := range s.columns {
		column := 0
		for _, i := range s.rows {
			if c := j.ownCell(i, name); c != nil {
				column = c.first().From().Column
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
				out = append(out, record.Rewrite{At: at, Text: other.first().Verbatim})
			case own != nil && k < len(s.rows):
				out = append(out, record.Rewrite{At: own.first().From(), Text: swapText(own.first(), other.first())})
			}
		}
	}
	for _, l := range lost {
		if !j.own.holds(l.row) {
			continue
		}
		out = append(out, record.Rewrite{At: j.rows[l.row].find(l.column).first().From()})
	}
	sorting.Func(out, func(a, b record.Rewrite) int { return a.At.Compare(b.At) })
	return out
}
