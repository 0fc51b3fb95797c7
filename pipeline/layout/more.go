package layout

import (
	"fmt"
	"slices"

	"spadefoot/pipeline/record"
)

// A long sheet is laid out by its first rows, a window of some thousands; what
// follows is laid out in chunks by the headings found there:
//
//	No   Date   SVL  ...      \
//	1    3 May  61            |  the window
//	2    "      58            /
//	3    4 May  64            \  held until what follows shows that it is
//	No   Date   SVL  ...      /  no preamble of headings
//
// What the window says of a column (that it is carried down, that words are
// rare in it) holds for all rows. Rows that contradict it end in an Error.
const (
	lookAhead  = 24 // rows that must follow a row before it is judged as headings; at least half of them hold something
	longestTop = 48 // rows above repeated headings that may belong to them
	lookBack   = 48 // rows above that stay in sight
	shortest   = 2 * (lookAhead + longestTop)
	fewestTold = 50 // rows of the last table from which its columns can be told
)

// Body is a table whose rows go on below the window.
type Body struct {
	f     *finder
	b     *body
	fixed int // rows of the grid that are headings and stay
	taken int // rows of the grid that have been taken
	sides [2]int
	carry carrying
	fails *Error

	columns   []record.Column
	rectangle record.Rectangle
}

// Begin gives the tables of the first rows of a sheet, as Find would if the
// sheet went on below them, and more for the rows that follow. The last rows of
// the window wait in more, so that the last table lacks them. The tables'
// findings that need all rows come from End.
//
// more is nil, and so are tables and findings, where the layout cannot be told
// from a window: no table in it, tables or boxes side by side, animals as
// columns, no heading that the mapping knows, or fewer than some hundred rows.
// The sheet then has to be read whole, and given to Find.
func Begin(window record.Sheet, o Options) (tables []record.Table, more *Body, findings []record.Finding) {
	if len(window.Rows) < shortest || o.Transposed != nil && *o.Transposed || o.LastRow > 0 && window.Rows[len(window.Rows)-1].Number >= o.LastRow {
		return nil, nil, nil
	}
	f := newFinder(window, o)
	if f.isTurned() {
		return nil, nil, nil
	}
	f.hold = lookAhead
	more = f.begin()
	if more == nil {
		return nil, nil, nil
	}
	rows, err := more.settle()
	if err == nil && len(rows) < fewestTold {
		return nil, nil, nil
	}
	more.fails = err
	for i := range f.out {
		f.out[i].Index = i + 1
	}
	last := &f.out[len(f.out)-1]
	last.Rows, last.Rectangle = rows, more.rectangle
	return f.out, more, more.drain()
}

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

// moved gives a head whose rows have moved up in the grid.
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

// More lays out further rows of the sheet and gives those of the table whose
// kind is certain by now; the last ones wait for what follows. An error, an
// *Error, names the row that is not as the window said.
func (m *Body) More(rows []record.Row) ([]record.TableRow, []record.Finding, error) {
	if m.fails != nil {
		return nil, nil, m.fails
	}
	for i := range rows {
		if m.stated(rows[i]) {
			m.append(rows[i])
		}
	}
	out, err := m.settle()
	if err != nil {
		m.fails = err
		return nil, nil, err
	}
	return out, m.drain(), nil
}

// End gives the rows that waited, and the findings of the table as a whole.
func (m *Body) End() ([]record.TableRow, []record.Finding, error) {
	if m.fails != nil {
		return nil, nil, m.fails
	}
	m.f.hold = 0
	out, err := m.settle()
	if err == nil {
		err = m.carry.end(m.b)
	}
	if err != nil {
		m.fails = err
		return nil, nil, err
	}
	m.b.trail()
	for k := range m.b.table.Columns {
		m.b.reportDittos(k)
	}
	m.f.statedSides(m.sides[0], m.sides[1])
	return out, m.drain(), nil
}

// Rectangle is what the table takes up down to the last row that was given.
func (m *Body) Rectangle() record.Rectangle { return m.rectangle }

func (m *Body) drain() []record.Finding {
	out := m.f.findings
	m.f.findings = nil
	record.SortFindings(out)
	return out
}

// stated notes what survey.yaml leaves out of a row, and reports whether the
// row is one to look at.
func (m *Body) stated(r record.Row) bool {
	return m.f.leaveStated(r, &m.sides[0], &m.sides[1])
}

// append puts a row into the grid. Of blank rows in a run one is enough.
func (m *Body) append(r record.Row) {
	g := m.f.grid
	all := g.all
	g.rows, g.looks = append(g.rows, r), append(g.looks, look{})
	i := len(g.rows) - 1
	if !m.f.skips(r.Number) {
		g.look(i, m.f.o.end(len(r.Cells)))
	} else {
		g.looks[i].skip = true
	}
	g.all = all
	if g.looks[i].filled == 0 && i > m.taken && g.looks[i-1].filled == 0 {
		g.rows, g.looks = g.rows[:i], g.looks[:i]
	}
}

// settle judges and takes the rows that have enough below them.
func (m *Body) settle() ([]record.TableRow, *Error) {
	if err := m.again(); err != nil {
		return nil, err
	}
	f, b := m.f, m.b
	until := f.next
	if f.hold > 0 {
		until = max(m.taken, min(until, len(f.grid.rows)-lookAhead-longestTop))
	} else {
		until = len(f.grid.rows)
	}
	b.table = &record.Table{Columns: m.columns, Rows: make([]record.TableRow, 0, until-m.taken)}
	for i := m.taken; i < until; i++ {
		if err := m.columnsOf(i); err != nil {
			return nil, err
		}
		f.leaveAgain(i)
		b.row(i)
	}
	m.taken = until
	m.slide()
	rows := b.table.Rows
	b.table.Rows = nil
	if n := len(rows); n > 0 {
		m.rectangle.Bottom = rows[n-1].Number
	}
	return rows, m.carry.down(b, rows)
}

// again finds the headings that stand among the rows once more.
func (m *Body) again() *Error {
	f := m.f
	if f.o.Plain {
		f.next = f.judged()
		return nil
	}
	before := f.heads[len(f.heads)-1]
	for ; f.next < f.judged(); f.next++ {
		h, is := head{}, noHeadings
		if f.o.HeadingRow > 0 {
			h, is = f.tellStated(f.next, before)
		} else {
			h, is = f.tell(f.next, before)
		}
		switch {
		case is == noHeadings:
			continue
		case is == otherHeadings:
			return m.fail(h.main, 0, "the row looks like the headings of another table, which are looked for near the beginning of a long sheet only",
				"move that table to a file of its own; if the row belongs to the table above, name the row of the headings under layout in survey.yaml")
		case h.preamble < m.taken:
			return m.fail(h.main, 0, "the headings stand here again under more lines than a long sheet may have above them",
				fmt.Sprintf("take out the lines above them but for %d", longestTop))
		}
		f.markAgain(h)
		f.likes, f.next = h.last, max(f.next, h.last)
	}
	return nil
}

func (m *Body) fail(row, column int, cause, advice string) *Error {
	return &Error{File: m.f.grid.file, Row: m.f.grid.rows[row].Number, Column: column, Cause: cause, Advice: advice}
}

// columnsOf reports a cell that stands under no column of the table.
func (m *Body) columnsOf(i int) *Error {
	b := m.b
	l := &m.f.grid.looks[i]
	if l.filled == 0 || l.again || !b.gaps && len(b.used) > 0 && int(l.first) >= b.used[0] && int(l.last) <= b.used[len(b.used)-1] {
		return nil
	}
	for _, c := range m.f.grid.filled(i, span{0, int(l.last) + 1}) {
		if b.place(c) < 0 {
			return m.fail(i, c+1, fmt.Sprintf("%q stands in a column that has no heading and held nothing in the first rows", m.f.grid.text(i, c)),
				"give the column a heading, or take the cell out")
		}
	}
	return nil
}

// slide drops rows that have been taken and are out of sight.
func (m *Body) slide() {
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
