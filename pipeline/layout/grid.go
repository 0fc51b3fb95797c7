package layout

import (
	"strings"

	"spadefoot/pipeline/record"
)

// grid is a sheet that can be asked for any cell, and what each of its rows
// looks like. The cells are those of the sheet: nothing is copied or changed.
type grid struct {
	file, name string
	rows       []record.Row
	looks      []look
	all        span // the columns that are looked at
	wordy      int  // how many cells are words, values and marks
	valued     int
	marked     int
}

// look is what one row looks like within the columns that are looked at.
type look struct {
	filled, words, values int32
	first, last           int32 // columns of the first and the last filled cell
	firstKind             kind
	ditto                 bool // a cell may be a ditto mark
	again                 bool // the row repeats headings
	skip                  bool // survey.yaml leaves the row out
	comment               bool // a cell has a comment
	formula               bool // a cell is a formula
}

// span is a run of columns, from 0, the end left out.
type span struct{ from, to int }

// newGrid looks at every cell of the sheet once.
func newGrid(s record.Sheet, o Options) *grid {
	g := &grid{file: s.File, name: s.Name, rows: s.Rows}
	if o.LastRow > 0 {
		n := len(g.rows)
		for n > 0 && g.rows[n-1].Number > o.LastRow {
			n--
		}
		g.rows = g.rows[:n]
	}
	skip := map[int]bool{}
	for _, n := range o.SkipRows {
		skip[n] = true
	}
	g.all.from = max(o.FirstColumn-1, 0)
	g.looks = make([]look, len(g.rows))
	for i := range g.rows {
		if len(skip) > 0 && skip[g.rows[i].Number] {
			g.looks[i].skip = true
			continue
		}
		g.look(i, o.end(len(g.rows[i].Cells)))
	}
	return g
}

// look fills the look of row i from its columns before end.
func (g *grid) look(i, end int) {
	l := &g.looks[i]
	cells := g.rows[i].Cells
	starts := dittoStarts()
	marks := int32(0)
	for c := g.all.from; c < end; c++ {
		cell := &cells[c]
		if cell.Comment() != "" {
			l.comment = true
		}
		k := kindOf(cell)
		if k == blank {
			continue
		}
		if l.filled == 0 {
			l.first, l.firstKind = int32(c), k
		}
		l.filled++
		l.last = int32(c)
		l.formula = l.formula || cell.Formula
		switch k {
		case word:
			l.words++
			l.ditto = l.ditto || len(cell.Text) <= longestDitto && starts[cell.Text[0]] && isDitto(cell)
		case value:
			l.values++
		default:
			marks++
			l.ditto = l.ditto || isDitto(cell)
		}
	}
	if l.filled > 0 {
		g.all.to = max(g.all.to, int(l.last)+1)
	}
	g.wordy += int(l.words)
	g.valued += int(l.values)
	g.marked += int(marks)
}

// nothing stands for a cell beyond the end of a row. Nobody writes to it.
var nothing record.Cell

// cell returns a cell, which is blank beyond the end of the row.
func (g *grid) cell(i, c int) *record.Cell {
	if c < len(g.rows[i].Cells) {
		return &g.rows[i].Cells[c]
	}
	return &nothing
}

func (g *grid) text(i, c int) string { return strings.TrimSpace(g.cell(i, c).Text) }

func (g *grid) blank(i, c int) bool { return g.cell(i, c).Empty() }

// filled lists the columns of a row that hold something.
func (g *grid) filled(i int, s span) []int {
	l := &g.looks[i]
	if l.filled == 0 {
		return nil
	}
	out := make([]int, 0, l.filled)
	for c := max(s.from, int(l.first)); c < s.to && c <= int(l.last); c++ {
		if !g.blank(i, c) {
			out = append(out, c)
		}
	}
	return out
}

// count is the number of filled cells of a row within a span, and the column
// of the first.
func (g *grid) count(i int, s span) (n, first int) {
	l := &g.looks[i]
	if s == g.all {
		return int(l.filled), int(l.first)
	}
	if l.filled == 0 {
		return 0, 0
	}
	for c := max(s.from, int(l.first)); c < s.to && c <= int(l.last); c++ {
		if !g.blank(i, c) {
			if n == 0 {
				first = c
			}
			n++
		}
	}
	return n, first
}

// below returns the next row that holds something before hi, or -1.
func (g *grid) below(i, hi int) int {
	for i++; i < hi; i++ {
		if g.looks[i].filled > 0 {
			return i
		}
	}
	return -1
}

// written is the text of a row as it stands, cells joined by " | ".
func (g *grid) written(i int, s span) string {
	var parts []string
	for _, c := range g.filled(i, s) {
		parts = append(parts, g.rows[i].Cells[c].Text)
	}
	return strings.Join(parts, " | ")
}
