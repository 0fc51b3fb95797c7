package layout

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// begin finds the tables of the window and opens the last one.
func (f *finder) begin() *Body {
	f.findHeads()
	if len(f.heads) == 0 || f.isLegendTab() || f.o.IsHeading != nil && !f.mapped && f.o.HeadingRow == 0 && !f.o.Plain {
		return nil
	}
	from := 0
	for i, h := range f.heads[:len(f.heads)-1] {
		f.block(h, max(from, min(h.preamble, h.first)), f.heads[i+1].preamble)
		from = f.heads[i+1].preamble
	}
	h := f.heads[len(f.heads)-1]
	top, end := max(from, min(h.preamble, h.first)), f.judged()
	if h.last >= end {
		return nil
	}
	filled := f.filledColumns(h, end)
	spans := f.spans(&h, top, end, filled)
	if len(spans) != 1 || spans[0].aside {
		return nil
	}
	b := f.newBody(h, spans[0].span, end, filled, f.preamble(h, top, spans)[0])
	if len(b.used) == 0 {
		return nil
	}
	b.countColumns()
	f.rectangle(b)
	f.out = append(f.out, *b.table)
	f.nameSections()
	for i := range f.out {
		f.out[i].Labels = append(f.out[i].Labels, f.o.Labels...)
	}
	m := &Body{f: f, b: b, taken: h.last + 1, columns: slices.Clone(b.table.Columns), rectangle: b.table.Rectangle}
	for _, r := range f.sheet.Rows {
		m.stated(r)
	}
	f.sheet.Rows = nil
	m.keepHeadings(h)
	return m
}

// keepHeadings moves the rows of the headings to the beginning of the grid,
// where they stay while the rows under them come and go: those of the first
// table, whose titles repeated headings may have above them, and those of the
// last.
func (m *Body) keepHeadings(last head) {
	f := m.f
	first := f.heads[0]
	blocks := []head{last}
	if first.main != last.main {
		blocks = []head{first, last}
	}
	g := &grid{file: f.grid.file, name: f.grid.name, all: f.grid.all}
	f.heads = nil
	for _, h := range blocks {
		by := h.preamble - len(g.rows)
		g.rows = append(g.rows, f.grid.rows[h.preamble:h.last+1]...)
		g.looks = append(g.looks, f.grid.looks[h.preamble:h.last+1]...)
		f.heads = append(f.heads, h.moved(by))
	}
	m.fixed = len(g.rows)
	by := m.taken - m.fixed
	g.rows = append(g.rows, f.grid.rows[m.taken:]...)
	g.looks = append(g.looks, f.grid.looks[m.taken:]...)
	f.next, f.likes, m.taken = max(f.next-by, m.fixed), f.likes-by, m.fixed
	f.grid = g
	m.b.head = f.heads[len(f.heads)-1]
}

// moved returns a head whose rows have moved up in the grid.
func (h head) moved(by int) head {
	h.preamble, h.first, h.main, h.last = h.preamble-by, h.first-by, h.main-by, h.last-by
	if h.units >= 0 {
		h.units -= by
	}
	if h.sub >= 0 {
		h.sub -= by
	}
	return h
}

// append puts a row into the grid. Of blank rows in a run one is enough.
func (m *Body) append(r record.Row) {
	g := m.f.grid
	all := g.all
	g.rows, g.looks = append(g.rows, r), append(g.looks, look{})
	i := len(g.rows) - 1
	if !m.f.skips(r.Number) {
		end := m.f.o.end(len(r.Cells))
		g.look(i, min(end, all.to))
		for c := all.to; c < end; c++ {
			m.stray(&r.Cells[c])
		}
	} else {
		g.looks[i].skip = true
	}
	g.all = all
	if g.looks[i].filled == 0 && i > m.taken && g.looks[i-1].filled == 0 {
		g.rows, g.looks = g.rows[:i], g.looks[:i]
	}
}

// stray notes a cell right of all that the window holds: the tail of a row that
// was parted once too often, or a column that was begun without a heading. A
// few are left out with their text in the finding; many are a column.
func (m *Body) stray(c *record.Cell) {
	if c.Empty() {
		return
	}
	if m.strays++; m.strays > maxStrays {
		if m.fails == nil {
			m.fails = &Error{File: m.f.grid.file, Row: c.Row, Column: c.Column,
				Cause:  fmt.Sprintf("%q is one of more than %d cells to the right of the table's last column", strings.TrimSpace(c.Text), maxStrays),
				Advice: "give the column a heading"}
		}
		return
	}
	at := m.f.at(c)
	m.f.find(record.Finding{Rule: "box-beside", Level: record.Warning, At: at, Value: c.Text,
		Reason: "to the right of the table's last column, without a heading; it was read but not used"})
}

const maxStrays = 1000

// columnsOf reports a cell that is under no column of the table.
func (m *Body) columnsOf(i int) *Error {
	b := m.b
	l := &m.f.grid.looks[i]
	if l.filled == 0 || l.again || !b.gaps && len(b.used) > 0 && int(l.first) >= b.used[0] && int(l.last) <= b.used[len(b.used)-1] {
		return nil
	}
	for _, c := range m.f.grid.filled(i, span{0, int(l.last) + 1}) {
		if b.place(c) < 0 {
			return m.fail(i, c+1, fmt.Sprintf("%q is in a column without a heading that is empty in the first rows", m.f.grid.text(i, c)),
				"give the column a heading, or remove the cell")
		}
	}
	return nil
}

// drop drops rows that have been taken and are out of sight.
func (m *Body) drop() {
	f, g := m.f, m.f.grid
	from := m.taken - lookBack
	if m.b.before >= m.fixed {
		from = min(from, m.b.before)
	}
	by := from - m.fixed
	if by <= 0 {
		return
	}
	n := copy(g.rows[m.fixed:], g.rows[from:])
	clear(g.rows[m.fixed+n:])
	copy(g.looks[m.fixed:], g.looks[from:])
	g.rows, g.looks = g.rows[:m.fixed+n], g.looks[:m.fixed+n]
	m.taken -= by
	f.next -= by
	f.likes = max(f.likes-by, -1)
	if m.b.before >= 0 {
		m.b.before -= by
	}
}
