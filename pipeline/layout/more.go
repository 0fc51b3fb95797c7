package layout

import (
	"fmt"

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
	f      *finder
	b      *body
	fixed  int    // rows of the grid that are headings and stay
	taken  int    // rows of the grid that have been taken
	sides  [2]int // cells left and right of the columns that survey.yaml names
	strays int    // cells right of all columns
	carry  carrying
	fails  *Error

	columns   []record.Column
	rectangle record.Rectangle
}

// Begin returns the tables of the first rows of a sheet, as Find would if the
// sheet went on below them, and more for the rows that follow. The last rows of
// the window wait in more, so that the last table lacks them. The tables'
// findings that need all rows come from End.
//
// more is nil, and so are tables and findings, where the layout cannot be told
// from a window: no table in it, tables or boxes side by side, animals as
// columns, no heading that the mapping knows, or fewer than some hundred rows.
// The sheet then has to be read whole, and given to Find.
//
// A cell right of all that the window holds is left out with its text in a finding;
// many of them are an error, as is one in a column that the window leaves blank
// and without a heading.
func Begin(window record.Sheet, o Options) (tables []record.Table, more *Body, findings []record.Finding) {
	if len(window.Rows) < shortest || o.Transposed != nil && *o.Transposed || o.LastRow > 0 && window.Rows[len(window.Rows)-1].Number >= o.LastRow {
		return nil, nil, nil
	}
	f := newFinder(window, o)
	if f.cards() != nil || f.isTurned() {
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

// More lays out further rows of the sheet and returns those of the table whose
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
	if m.fails != nil {
		return nil, nil, m.fails
	}
	out, err := m.settle()
	if err != nil {
		m.fails = err
		return nil, nil, err
	}
	return out, m.drain(), nil
}

// End returns the rows that waited, and the findings of the table as a whole.
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
	m.drop()
	rows := b.table.Rows
	b.table.Rows = nil
	if n := len(rows); n > 0 {
		m.rectangle.Bottom = rows[n-1].Number
	}
	return rows, m.carry.down(b, rows)
}

// again finds the headings that are among the rows once more.
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
			return m.fail(h.main, 0, "the row looks like the headings of another table; in a long sheet these are looked for only near the beginning",
				"move that table to its own file; if the row belongs to the table above, give the row of the headings under layout in survey.yaml")
		case h.preamble < m.taken:
			return m.fail(h.main, 0, "the headings are repeated here below more lines than are allowed in a long sheet",
				fmt.Sprintf("remove all but %d of the lines above them", longestTop))
		}
		f.markAgain(h)
		f.likes, f.next = h.last, max(f.next, h.last)
	}
	return nil
}

func (m *Body) fail(row, column int, cause, advice string) *Error {
	return &Error{File: m.f.grid.file, Row: m.f.grid.rows[row].Number, Column: column, Cause: cause, Advice: advice}
}
