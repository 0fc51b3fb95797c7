package pipeline

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// neighbours shows the row that a finding stands in, with every cell that it is
// about marked. The cells of a survey that is held are there; of a larger one the
// row is put together from what was read of its capture, so that cells that were
// set aside are missing.
func (w *walk) neighbours() func(record.Finding) []report.Neighbour {
	if w.held {
		return neighboursIn(w.laid)
	}
	return w.rowInHand
}

// markTerm is the term of the mark that an animal is known by.
const markTerm = "organismID"

// rowInHand puts the row of a finding together.
func (w *walk) rowInHand(f record.Finding) []report.Neighbour {
	for _, a := range append([]record.Address{f.At}, f.Also...) {
		if a.Row == 0 {
			continue
		}
		if w.anywhere && !w.fetch(a) {
			continue
		}
		if len(w.at) == 0 {
			if w.at == nil {
				w.at = map[record.Address]int{}
			}
			for i, c := range w.captures {
				w.at[c.Address()] = i
			}
		}
		if i, ok := w.at[a.OfRow()]; ok {
			return w.cellsOf(w.captures[i], f)
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
			at := c.Address().Clone()
			out = append(out, span{at.File, at.Sheet, at.Row, at.Row})
			continue
		}
		out[n].first, out[n].last = min(out[n].first, c.Row), max(out[n].last, c.Row)
	}
	return out
}

// partOf is the part whose captures stand in the row of a cell, or next below
// it in its sheet; -1 for none.
func (w *walk) partOf(a record.Address) int {
	best, below := -1, math.MaxInt
	for i, spans := range w.spans {
		for _, s := range spans {
			switch {
			case s.file != a.File || s.sheet != a.Sheet || a.Row > s.last:
			case a.Row >= s.first:
				return i
			case s.first < below:
				best, below = i, s.first
			}
		}
	}
	return best
}

// within reports whether a cell stands among the rows of a part, and above none
// that a label could stand above too.
func (w *walk) within(i int, a record.Address) bool {
	for _, s := range w.spans[i] {
		if s.file == a.File && s.sheet == a.Sheet && s.first <= a.Row && a.Row <= s.last {
			return slices.ContainsFunc(w.captures, func(c *record.Capture) bool { return c.Row == a.Row })
		}
	}
	return false
}

// fetch takes the part down that holds a row, when none is in hand.
func (w *walk) fetch(a record.Address) bool {
	i := w.partOf(a)
	if i < 0 {
		return false
	}
	captures, err := w.store.Take(i, &w.buffers[0])
	if err != nil {
		return false // the row is not shown; the finding is
	}
	w.captures = captures
	clear(w.at)
	return true
}

// cellsOf lists the filled cells of the row of a capture, and those in doubt.
func (w *walk) cellsOf(c *record.Capture, f record.Finding) []report.Neighbour {
	var out []report.Neighbour
	for _, col := range w.columnsOf(c) {
		at := record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: col.Number}
		text := writtenAt(c, at, col.Meaning.Term)
		doubtful := at == f.At || slices.Contains(f.Also, at)
		if text == "" && !doubtful {
			continue
		}
		out = append(out, report.Neighbour{Cell: record.ColumnLetters(col.Number), Heading: col.Heading, Text: text, Doubtful: doubtful, Mark: col.Meaning.Term == markTerm})
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

// tableWith is the table that a capture stands in, or nil.
func (w *walk) tableWith(c *record.Capture) *tableOf {
	for _, t := range w.laid {
		if t.table.File == c.File && t.table.Sheet == c.Sheet && t.table.Index == c.Table {
			return t
		}
	}
	return nil
}

// columnsOf are the columns of the table that a capture stands in; none where
// animals stand as columns.
func (w *walk) columnsOf(c *record.Capture) []record.Column {
	if t := w.tableWith(c); t != nil && !t.table.Transposed {
		return t.table.Columns
	}
	return nil
}

// tableRow is a row with its table.
type tableRow struct {
	t *record.Table
	r *record.TableRow
}

// neighboursIn finds the row of a finding among tables, with every cell that
// the finding is about marked. The tables are looked through when the first row
// is asked for.
func neighboursIn(tables []*tableOf) func(record.Finding) []report.Neighbour {
	index := sync.OnceValue(func() map[record.Address]tableRow { return rowsOf(tables) })
	return func(f record.Finding) []report.Neighbour {
		at, ok := index()[f.At.OfRow()]
		for i := 0; i < len(f.Also) && !ok; i++ {
			at, ok = index()[f.Also[i].OfRow()]
		}
		if !ok {
			return nil
		}
		return rowOf(at.t, at.r, f)
	}
}

// rowsOf lists the rows of tables by their place in the sheets.
func rowsOf(tables []*tableOf) map[record.Address]tableRow {
	index := map[record.Address]tableRow{}
	for _, l := range tables {
		if l.table.Transposed {
			continue // an animal is a column there, and its address no row
		}
		for i := range l.table.Rows {
			r := &l.table.Rows[i]
			last := 0
			for _, c := range r.Cells {
				if c.Row == last {
					continue // a row of the sheet, most often
				}
				last = c.Row
				at := record.Address{File: l.table.File, Sheet: l.table.Sheet, Row: c.Row}
				if _, there := index[at]; !there && c.Row > 0 {
					index[at] = tableRow{l.table, r}
				}
			}
		}
	}
	return index
}

// rowOf lists the filled cells of a row, and those in doubt.
func rowOf(t *record.Table, r *record.TableRow, f record.Finding) []report.Neighbour {
	var out []report.Neighbour
	for i, c := range r.Cells {
		at := t.Address(c)
		doubtful := at == f.At || slices.Contains(f.Also, at)
		if c.Empty() && !doubtful {
			continue
		}
		out = append(out, report.Neighbour{Cell: record.ColumnLetters(c.Column), Heading: t.Columns[i].Heading, Text: c.Verbatim(), Doubtful: doubtful, Mark: t.Columns[i].Meaning.Term == markTerm})
	}
	return out
}
