package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

const (
	maxBlanks = 1000 // blank rows in a run that are kept
	maxAlso   = 100  // addresses named beside the first of a finding
)

// grid gathers the cells of one tab of a workbook, in any order, and makes a
// sheet of them with the findings that every kind of workbook shares.
type grid struct {
	file, name string
	hidden     bool
	spent      *spent       // by all tabs of the workbook
	rows       []record.Row // sparse, in order of number once sorted
	index      map[int]int  // row number to place in rows
	comments   map[place]string
	merges     []record.Rectangle
	hiddenRows map[int]bool
	hiddenCols map[int]bool
	yearless   []record.Address
	found      []record.Finding
}

type place struct{ row, column int }

func newGrid(file, name string, s *spent) *grid {
	return &grid{file: file, name: name, spent: s, index: map[int]int{}, comments: map[place]string{},
		hiddenRows: map[int]bool{}, hiddenCols: map[int]bool{}}
}

func (g *grid) at(row, column int) record.Address {
	return record.Address{File: g.file, Sheet: g.name, Row: row, Column: column}
}

func (g *grid) find(rule string, level record.Level, c record.Cell, value, reason string) {
	if !g.spent.blank(g.at(c.Row, c.Column), faultCells) {
		return
	}
	g.found = append(g.found, record.Finding{Rule: rule, Level: level, At: g.at(c.Row, c.Column), Value: value, Reason: reason})
}

// cell begins a cell.
func (s cellStyle) cell(row, column int) record.Cell {
	c := record.Cell{Row: row, Column: column}
	if s.fill != "" || s.struck {
		c.Beside = &record.Beside{Fill: s.fill, Struck: s.struck}
	}
	return c
}

// put adds a cell that holds something or is coloured.
func (g *grid) put(c record.Cell) {
	if c.Text == "" && c.Fill() == "" && !c.Formula {
		return
	}
	if !g.spent.cell(g.at(c.Row, c.Column), c.Text) {
		return
	}
	if c.Text == "" {
		c.Kind = record.Blank
	}
	r := g.row(c.Row)
	r.Cells = append(r.Cells, c)
}

// row is the row of a number, most likely the last one. A new row has room for about
// as many cells as the last.
func (g *grid) row(number int) *record.Row {
	last := len(g.rows) - 1
	if last >= 0 && g.rows[last].Number == number {
		return &g.rows[last]
	}
	i, ok := g.index[number]
	if !ok {
		i = len(g.rows)
		g.index[number] = i
		g.rows = append(g.rows, record.Row{Number: number})
		if last >= 0 {
			g.rows[i].Cells = make([]record.Cell, 0, min(len(g.rows[last].Cells), 64))
		}
	}
	return &g.rows[i]
}

// putNumber adds a stored number, which its format may show as a date.
func (g *grid) putNumber(c record.Cell, v float64, f numberFormat, date1904 bool) {
	if f.date.any() {
		if text, ok := serialText(v, f.date, date1904); ok {
			g.putDate(c, text, f.date)
			return
		}
		f = numberFormat{}
	}
	c.Kind, c.Text = record.Number, f.text(v)
	if digitsLost(v) {
		g.find(ruleDigits, record.Error, c, c.Text, "the number has more than 15 digits, but the workbook keeps only 15")
	}
	g.put(c)
}

func (g *grid) putDate(c record.Cell, text string, parts dateParts) {
	c.Kind, c.Text = record.Date, text
	if parts.hasDate() && !parts.year {
		g.yearless = append(g.yearless, g.at(c.Row, c.Column))
	}
	g.put(c)
}

func (g *grid) putBool(c record.Cell, v bool) {
	c.Kind, c.Text = record.Bool, strings.ToUpper(fmt.Sprint(v))
	g.put(c)
}

// putFault adds a cell that shows an error of the spreadsheet program.
func (g *grid) putFault(c record.Cell, text string) {
	c.Kind, c.Text = record.Fault, text
	g.find(ruleFault, record.Warning, c, text, "the cell shows a spreadsheet error instead of a value")
	g.put(c)
}

func (g *grid) putText(c record.Cell, text string) {
	c.Kind, c.Text = record.Text, text
	if strings.Contains(text, "\uFFFD") {
		g.find(ruleLost, record.Warning, c, text, "the cell holds the replacement character of a character that was lost earlier")
	}
	g.put(c)
}

// noValue adds a formula that was saved without its result.
func (g *grid) noValue(c record.Cell, formula string) {
	c.Formula, c.Text, c.Kind = true, "", record.Blank
	g.find(ruleNoValue, record.Warning, c, formula, "the formula was saved without its result")
	g.put(c)
}

// sheet makes the rows whole: cells in order without gaps up to the last that
// holds something, rows in order with the blank ones between them.
func (g *grid) sheet() (record.Sheet, []record.Finding, error) {
	for p, text := range g.comments {
		g.comment(p, text)
	}
	sorting.Func(g.rows, func(a, b record.Row) int { return cmp.Compare(a.Number, b.Number) })
	s := record.Sheet{File: g.file, Name: g.name, Hidden: g.hidden}
	fills := map[string][]record.Address{}
	last := 0
	for _, r := range g.rows {
		cells := g.whole(r)
		if err := g.spent.err(); err != nil {
			return s, nil, err
		}
		if len(cells) == 0 {
			continue
		}
		if r.Number-last-1 <= maxBlanks {
			for n := last + 1; n < r.Number; n++ {
				s.Rows = append(s.Rows, record.Row{Number: n, Hidden: g.hiddenRows[n]})
			}
		}
		last = r.Number
		s.Rows = append(s.Rows, record.Row{Number: r.Number, Hidden: g.hiddenRows[r.Number], Cells: cells})
		for _, c := range cells {
			if fill := c.Fill(); fill != "" {
				fills[fill] = append(fills[fill], g.at(c.Row, c.Column))
			}
		}
	}
	s.Merges = g.merges
	g.judge(s, fills)
	return s, g.found, nil
}

// comment fastens a comment to its cell, which is made if need be.
func (g *grid) comment(p place, text string) {
	r := g.row(p.row)
	for k := range r.Cells {
		if c := &r.Cells[k]; c.Column == p.column {
			c.SetComment(text)
			return
		}
	}
	r.Cells = append(r.Cells, record.Cell{Row: p.row, Column: p.column, Beside: &record.Beside{Comment: text}})
}

// whole returns the cells of a row in order with no gaps. Blank cells at the end
// are left out unless somebody put a comment or a formula there.
func (g *grid) whole(r record.Row) []record.Cell {
	cells := r.Cells
	byColumn := func(a, b record.Cell) int { return cmp.Compare(a.Column, b.Column) }
	if !slices.IsSortedFunc(cells, byColumn) {
		sorting.StableFunc(cells, byColumn)
	}
	for n := len(cells); n > 0; n-- {
		if c := cells[n-1]; c.Text != "" || c.Comment() != "" || c.Formula {
			break
		}
		cells = cells[:n-1]
	}
	if len(cells) == 0 {
		return nil
	}
	width := cells[len(cells)-1].Column
	if gapless(cells) || !g.spent.blank(g.at(r.Number, 0), max(0, width-len(cells))) {
		return cells
	}
	out := make([]record.Cell, width)
	for i := range out {
		out[i].Row, out[i].Column = r.Number, i+1
	}
	for _, c := range cells {
		out[c.Column-1] = c
	}
	return out
}

func gapless(cells []record.Cell) bool {
	for i, c := range cells {
		if c.Column != i+1 {
			return false
		}
	}
	return true
}

// merge remembers a merged cell. What goes beyond what anybody makes by hand is
// left alone.
func (g *grid) merge(r record.Rectangle) {
	if len(g.merges) < 20_000 {
		g.merges = append(g.merges, r)
	}
}
