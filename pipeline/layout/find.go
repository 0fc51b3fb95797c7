package layout

import (
	"fmt"

	"spadefoot/pipeline/record"
)

// Options overrides what Find would decide; zero values leave it free. Rows
// and columns are those of the sheet, counted from 1.
type Options struct {
	Plain       bool // one table, headings in the first row that is not blank; every other row is data
	HeadingRow  int  // first heading row (column, if animals stand as columns)
	HeadingRows int  // how many rows the headings take
	LastRow     int
	FirstColumn int
	LastColumn  int
	Transposed  *bool
	CarryDown   []string                  // headings under which a blank means "as above"
	KeepBlank   func(heading string) bool // headings under which a blank means nothing; may be nil
	SkipRows    []int
	Labels      []record.Label               // values for every row of every table; they win over the sheet's own
	IsHeading   func(text string) bool       // knows the headings of the mapping; may be nil
	IsOther     func(headings []string) bool // knows the headings of tables that hold no captures; may be nil
}

// Find returns the tables of a sheet in reading order: from the top, and from
// the left where tables are side by side. Every cell that holds something is
// in a row, a heading or a label of a table, or in the Value of a finding. A
// sheet without a table gives none and a finding with all of its text.
//
// Find takes time and memory in proportion to the cells of the sheet. It does
// not change the sheet; rows of the tables share its cells where they can.
func Find(s record.Sheet, o Options) ([]record.Table, []record.Finding) {
	f := newFinder(s, o)
	switch t := f.cards(); {
	case t != nil:
		f.out = []record.Table{*t}
		f.out[0].Labels = append(f.out[0].Labels, o.Labels...)
	case f.isTurned():
		f.grid, f.turned = f.grid.turn(), true
		fallthrough
	default:
		f.tables()
	}
	f.without()
	f.statedOut()
	f.comments()
	for i := range f.out {
		f.out[i].Index = i + 1
	}
	record.SortFindings(f.findings)
	return f.out, f.findings
}

func newFinder(s record.Sheet, o Options) *finder {
	f := &finder{grid: newGrid(s, o), sheet: s, o: o, names: map[string]bool{}, firstNames: map[string]bool{}, over: map[int]int{}, said: map[int]bool{}}
	f.judgeBy(f.usual)
	return f
}

// judged is the row from which on it is too early to judge.
func (f *finder) judged() int { return len(f.grid.rows) - f.hold }

// finder is the search in one sheet.
type finder struct {
	grid       *grid
	sheet      record.Sheet
	o          Options
	turned     bool
	cardLines  map[string]bool        // lines with which cards begin, without their numbers
	known      func(text string) bool // the evidence by which headings are being told
	memo       map[string]bool        // what known said of the whole text of a cell
	names      map[string]bool        // whether the whole text of a cell is the name of something
	mapped     bool                   // the first heading row was told by the mapping
	heads      []head
	words      map[string]bool // folded texts of all headings
	raw        map[string]bool // the same as written
	firstNames map[string]bool // folded names of all labels above the first table
	firstLines int             // lines without a name above the first table
	first      []firstLabel    // labels above the first table, for those under it
	said       map[int]bool    // rows that say in words what the headings above them mean
	over       map[int]int     // rows of names above a table, with the row of values below each
	hold       int             // rows at the end that wait for what follows them
	counted    bool            // a table of totals was left out
	next       int             // the row that is judged as headings next
	likes      int             // the last row that looked like a heading row
	out        []record.Table
	findings   []record.Finding
}

// tables finds the heading rows, then gives each the rows down to what stands
// above the next one.
func (f *finder) tables() {
	f.findHeads()
	if f.isLegendTab() {
		f.heads = nil
	}
	from := 0
	for i, h := range f.heads {
		end := len(f.grid.rows)
		if i+1 < len(f.heads) {
			end = f.heads[i+1].preamble
		}
		top := max(from, min(h.preamble, h.first))
		if from = end; f.isOther(h.main, f.grid.all) {
			f.leaveOther(top, f.grid.all, end)
			continue
		}
		f.block(h, top, end)
	}
	f.nameSections()
	for i := range f.out {
		f.out[i].Labels = append(f.out[i].Labels, f.o.Labels...)
	}
}

// block makes the tables of one run of heading rows: one, or several side by
// side.
func (f *finder) block(h head, top, end int) {
	filled := f.filledColumns(h, end)
	spans := f.spans(&h, top, end, filled)
	above := f.preamble(h, top, spans)
	for i := h.last + 1; i < end; i++ {
		f.leaveAgain(i)
	}
	for i, s := range spans {
		switch {
		case s.other:
			f.leaveOther(h.first, s.span, end)
			continue
		case s.aside:
			f.leaveAside(h, s.span, end)
			continue
		}
		b := f.newBody(h, s.span, end, filled, above[i])
		b.rows()
		if b.isTotals() {
			f.leaveTotals(top, s.span, end)
			continue
		}
		b.carry()
		f.rectangle(b)
		f.out = append(f.out, *b.table)
	}
}

// leaveAgain notes a row that repeats headings.
func (f *finder) leaveAgain(i int) {
	if f.grid.looks[i].again && f.grid.looks[i].filled > 0 {
		f.leave("heading-repeated", i, f.grid.all, "the headings are repeated here; the row was left out")
	}
}

// rectangle says which cells of the sheet the table takes up.
func (f *finder) rectangle(b *body) {
	t := b.table
	top, bottom := f.grid.rows[b.head.first].Number, f.grid.rows[b.head.last].Number
	if n := len(t.Rows); n > 0 {
		bottom = max(bottom, t.Rows[n-1].Number)
	}
	left, right := b.span.from+1, b.span.to
	if f.turned {
		left, right = f.number(b.span.from), f.number(b.span.to-1)
	}
	if n := len(t.Columns); n > 0 {
		left, right = t.Columns[0].Number, t.Columns[n-1].Number
	}
	for i := b.head.first; i <= b.head.last; i++ {
		t.HeadingRows = append(t.HeadingRows, f.grid.rows[i].Number)
	}
	t.Rectangle = record.Rectangle{Top: top, Left: left, Bottom: bottom, Right: right}
	if f.turned {
		t.Rectangle = record.Rectangle{Top: left, Left: top, Bottom: right, Right: bottom}
	}
}

// number is what a column of the grid is called in the sheet: its column, or
// its row if the sheet was turned.
func (f *finder) number(c int) int {
	if f.turned {
		if c >= 0 && c < len(f.sheet.Rows) {
			return f.sheet.Rows[c].Number
		}
		return 0
	}
	return c + 1
}

// place is the address of a row of the grid, which is a column of a sheet that
// was turned.
func (f *finder) place(i int) record.Address {
	at := record.Address{File: f.grid.file, Sheet: f.grid.name}
	if f.turned {
		at.Column = f.grid.rows[i].Number
	} else {
		at.Row = f.grid.rows[i].Number
	}
	return at
}

func (f *finder) at(c *record.Cell) record.Address {
	return record.Address{File: f.grid.file, Sheet: f.grid.name, Row: c.Row, Column: c.Column}
}

func (f *finder) find(x record.Finding) { f.findings = append(f.findings, x) }

// note adds a finding that only says what was decided.
func (f *finder) note(rule string, at record.Address, value, reason string, args ...any) {
	at.File, at.Sheet = f.grid.file, f.grid.name
	f.find(record.Finding{Rule: rule, Level: record.Note, At: at, Value: value, Reason: fmt.Sprintf(reason, args...)})
}

// leave notes that a row is left out, with all that it says.
func (f *finder) leave(rule string, i int, s span, reason string, args ...any) {
	f.note(rule, f.place(i), f.grid.written(i, s), reason, args...)
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// end is the column behind the last that is looked at in a row of n cells.
func (o *Options) end(n int) int {
	if o.LastColumn > 0 {
		return min(o.LastColumn, n)
	}
	return n
}

// stated reports whether survey.yaml says where the headings stand.
func (o Options) stated() bool {
	return o.Plain || o.HeadingRow > 0 || o.Transposed != nil
}
