package store

import "spadefoot/pipeline/record"

// cellAt says what is written in a cell of a capture: mostly the verbatim text of a
// value, a reading or a part of the weighing, by its place among them from 1; 0 for a
// text of its own.
type cellAt struct {
	column  int32
	decided bool
	place   int
}

// lay finds out where the texts of the cells of a capture are. Cells are in the order
// of their columns, so that of equal texts the one from the next column is meant.
func (s *shared) lay(c *record.Capture) {
	s.cells = s.cells[:0]
	before := 0 // the column of the text that was found last
	for i := range c.Cells {
		cell := &c.Cells[i]
		at := cellAt{column: cell.Column, decided: cell.Decided}
		next := 0
		for k := range len(s.fields) + len(s.series) {
			if text, _ := verbatim(c, k); text != cell.Text {
				continue
			}
			column := columnOf(s.at(k)).Column
			if at.place == 0 || column > before && (next <= before || column < next) {
				at.place, next = k+1, column
			}
		}
		before = max(before, next)
		s.cells = append(s.cells, at)
	}
}

// laid reports whether the texts of the cells of a capture are there.
func (s *shared) laid(c *record.Capture) bool {
	if len(c.Cells) != len(s.cells) {
		return false
	}
	for i := range s.cells {
		cell, at := &c.Cells[i], &s.cells[i]
		if cell.Column != at.column || cell.Decided != at.decided {
			return false
		}
		if at.place > 0 {
			if text, _ := verbatim(c, at.place-1); text != cell.Text {
				return false
			}
		}
	}
	return true
}

// verbatim is what was written of a value, of a reading behind the values or of a part
// of the weighing behind those; false if there is none at the place.
func verbatim(c *record.Capture, place int) (string, bool) {
	if place < len(c.Values) {
		return c.Values[place].Verbatim, true
	}
	if place -= len(c.Values); place < len(c.Readings) {
		return c.Readings[place].Verbatim, true
	}
	place -= len(c.Readings)
	for r := range c.Weighing.Readings() {
		if place == 0 {
			return r.Verbatim, true
		}
		place--
	}
	return "", false
}

// layout writes where the texts of cells are.
func (w *writer) layout(cells []cellAt) {
	w.uint(uint64(len(cells)))
	for _, at := range cells {
		w.uint(uint64(at.column))
		w.bool(at.decided)
		w.uint(uint64(at.place))
	}
}

func (r *reader) layout() []cellAt {
	return list(r, func() cellAt { return cellAt{column: int32(r.uint()), decided: r.byte() == 1, place: r.count()} })
}

// cells writes the texts of cells that are nowhere else.
func (w *writer) cells(c *record.Capture, at []cellAt) {
	for i := range at {
		if at[i].place == 0 {
			w.text("cell", c.Cells[i].Text)
		}
	}
}

// cells reads the cells of a capture, whose values and readings are there.
func (t *taker) cells(c *record.Capture, at []cellAt) {
	c.Cells = take(t, t.buffer.cells, &t.written, len(at))
	for i := range c.Cells {
		cell := record.Written{Column: at[i].column, Decided: at[i].decided}
		if place := at[i].place; place == 0 {
			cell.Text = t.text()
		} else {
			text, there := verbatim(c, place-1)
			if !there {
				t.fail()
			}
			cell.Text = text
		}
		c.Cells[i] = cell
	}
}
