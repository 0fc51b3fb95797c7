package layout

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// carrying fills the blanks of a table that comes in chunks. Whether a blank of
// a column means "as above" is told from the window; the rows that follow are
// watched for what would have told otherwise.
type carrying struct {
	begun   bool
	rows    int
	columns []carriedColumn
	blanks  []int // blank cells of each column
	watched bool  // a column's evidence is still open
}

// carriedColumn is what is known of one column.
type carriedColumn struct {
	stated  bool // survey.yaml says that it is carried
	shown   bool // the window shows that it is
	open    bool // it may yet be shown or contradicted by the rows
	filled  int
	carried int
	outer   []int // the columns left of it that are carried
	first   record.Cell
	last    string      // the last text that was written
	above   record.Cell // the last cell that holds something
}

// begin decides by the rows of the window.
func (c *carrying) begin(b *body, rows []record.TableRow) {
	c.begun = true
	c.columns = make([]carriedColumn, len(b.table.Columns))
	c.blanks = make([]int, len(b.table.Columns))
	if b.f.o.Plain && len(b.f.o.CarryDown) == 0 || len(rows) == 0 {
		return
	}
	b.table.Rows = rows
	defer func() { b.table.Rows = nil }()
	for k := range c.columns {
		col := &c.columns[k]
		heading := b.table.Columns[k].Heading
		col.outer = c.carriedLeftOf(k)
		col.first = rows[0].Cells[k]
		col.stated = slices.ContainsFunc(b.f.o.CarryDown, func(h string) bool { return fold(h) == fold(heading) })
		switch {
		case col.stated:
		case b.f.o.Plain, b.f.o.KeepBlank != nil && b.f.o.KeepBlank(heading):
		case b.mayCarry(k):
			col.open = true
			col.shown = b.showsCarry(k, col.outer)
		}
		c.watched = c.watched || col.open
	}
}

// carriedLeftOf returns the columns left of one that are carried down.
func (c *carrying) carriedLeftOf(k int) (columns []int) {
	for j := range c.columns[:k] {
		if c.columns[j].stated || c.columns[j].shown {
			columns = append(columns, j)
		}
	}
	return columns
}

// down fills the blanks of further rows.
func (c *carrying) down(b *body, rows []record.TableRow) *Error {
	if !c.begun {
		if len(rows) == 0 {
			return nil
		}
		c.begin(b, rows)
	}
	for i := range rows {
		row := &rows[i]
		own := false
		for k := range c.columns {
			col := &c.columns[k]
			if !c.watched && !col.stated {
				continue
			}
			cell := &row.Cells[k]
			if cell.Empty() {
				c.blanks[k]++
				if (col.stated || col.shown) && !col.above.Empty() {
					if !own {
						row.Cells, own = slices.Clone(row.Cells), true
					}
					row.Cells[k].Carry(col.above)
					col.carried++
				}
				continue
			}
			if col.stated || col.shown {
				col.above = *cell
			}
			if !col.open || cell.Carried && b.dittos[k] != nil {
				continue
			}
			text := strings.TrimSpace(cell.Text)
			if text == col.last && !beginsAnew(row.Cells, col.outer) {
				if col.shown {
					return contradicted(b, k, row.Number, fmt.Sprintf("%q appears twice in a row here", text))
				}
				col.open = false
			}
			col.filled++
			col.last = text
		}
		c.rows++
	}
	c.watched = slices.ContainsFunc(c.columns, func(col carriedColumn) bool { return col.open })
	return nil
}

func contradicted(b *body, k, row int, why string) *Error {
	column := b.table.Columns[k]
	return &Error{File: b.f.grid.file, Row: row, Column: column.Number,
		Cause:  fmt.Sprintf("it is unclear whether a blank under %q means the value above: %s, and the first rows suggest otherwise", column.Heading, why),
		Advice: "set carryDown to true or false in the mapping of this heading"}
}

// end compares what all rows say with what the window said, and notes what was
// carried.
func (c *carrying) end(b *body) *Error {
	for k := range c.columns {
		col := &c.columns[k]
		if col.open && c.shows(k) != col.shown {
			return contradicted(b, k, 0, fmt.Sprintf("%d of %d rows have a value, and no two in succession are the same", col.filled, c.rows))
		}
		if col.shown {
			b.noteCarried(k, col.first, col.carried)
		}
	}
	return nil
}

// shows is the evidence of showsCarry, gathered over all rows.
func (c *carrying) shows(k int) bool {
	col := &c.columns[k]
	if c.rows < fewestCarried || col.filled < 2 || c.blanks[k] == 0 || col.filled*3 > c.rows*2 {
		return false
	}
	return slices.ContainsFunc(c.blanks[k+1:], func(n int) bool { return n*10 <= c.rows })
}
