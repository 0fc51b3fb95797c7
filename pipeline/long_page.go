package pipeline

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// rowInHand shows the row that a finding stands in, with every cell that it is
// about marked. The cells of a long survey are not kept, so the row is put
// together from what was read of its capture: cells that were set aside are
// missing.
func (l *long) rowInHand(f record.Finding) []report.Neighbour {
	for _, a := range append([]record.Address{f.At}, f.Also...) {
		if a.Row == 0 {
			continue
		}
		if l.anywhere && !l.fetch(a) {
			continue
		}
		if len(l.at) == 0 {
			if l.at == nil {
				l.at = map[record.Address]int{}
			}
			for i, c := range l.captures {
				l.at[c.Address()] = i
			}
		}
		if i, ok := l.at[rowAddress(a)]; ok {
			return l.cellsOf(l.captures[i], f)
		}
	}
	return nil
}

// span is a run of rows of one sheet within a part.
type span struct {
	file, sheet string
	first, last int
}

// spansOf are the runs of rows that captures stand in.
func spansOf(captures []*record.Capture) []span {
	var out []span
	for _, c := range captures {
		n := len(out) - 1
		if n < 0 || out[n].file != c.File || out[n].sheet != c.Sheet {
			at := keptAddress(c.Address())
			out = append(out, span{at.File, at.Sheet, at.Row, at.Row})
			continue
		}
		out[n].first, out[n].last = min(out[n].first, c.Row), max(out[n].last, c.Row)
	}
	return out
}

// fetch takes the part down that holds a row, when none is in hand.
func (l *long) fetch(a record.Address) bool {
	for i, spans := range l.spans {
		for _, s := range spans {
			if s.file == a.File && s.sheet == a.Sheet && s.first <= a.Row && a.Row <= s.last {
				captures, err := l.shelf.Take(i, &l.hands[0])
				if err != nil {
					return false // the row is not shown; the finding is
				}
				l.captures = captures
				clear(l.at)
				return true
			}
		}
	}
	return false
}

// cellsOf lists the filled cells of the row of a capture, and those in doubt.
func (l *long) cellsOf(c *record.Capture, f record.Finding) []report.Neighbour {
	var out []report.Neighbour
	for _, col := range l.columnsOf(c) {
		at := record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: col.Number}
		text := writtenAt(c, at, col.Meaning.Term)
		doubtful := at == f.At || slices.Contains(f.Also, at)
		if text == "" && !doubtful {
			continue
		}
		out = append(out, report.Neighbour{Cell: record.ColumnLetters(col.Number), Heading: col.Heading, Text: text, Doubtful: doubtful})
	}
	return out
}

// writtenAt is what was written in a cell of a capture's row: the value of a
// term, a reading, a part of the weighing or a cell that nothing matched.
func writtenAt(c *record.Capture, at record.Address, term string) string {
	if term != "" {
		if v := c.Value(term); v != nil && v.From == at {
			return cmp.Or(v.Verbatim, v.Text)
		}
		return ""
	}
	for i := range c.Readings {
		if r := &c.Readings[i]; r.From == at && !r.Derived {
			return r.Verbatim
		}
	}
	if w := c.Weighing; w != nil {
		for _, r := range []*record.Reading{w.Gross, w.Tare, w.Net} {
			if r != nil && r.From == at {
				return r.Verbatim
			}
		}
		if w.Bag == at {
			return w.BagLabel
		}
	}
	for _, e := range c.Extras {
		if e.From == at {
			return e.Text
		}
	}
	return ""
}

// columnsOf are the columns of the table that a capture stands in; none where
// animals stand as columns.
func (l *long) columnsOf(c *record.Capture) []record.Column {
	for _, t := range l.laid {
		if t.table.File == c.File && t.table.Sheet == c.Sheet && t.table.Index == c.Table && !t.table.Transposed {
			return t.table.Columns
		}
	}
	return nil
}
