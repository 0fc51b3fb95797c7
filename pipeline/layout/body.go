package layout

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/taxon"
)

// body makes the rows of one table.
type body struct {
	f        *finder
	table    *record.Table
	head     head
	span     span
	end      int    // the row of the grid behind the last
	used     []int  // the grid's column of each column of the table
	gaps     bool   // columns were left out between those used
	filled   []bool // of each column of the grid: rows under the headings hold something
	sections []record.Label
	waiting  []single // lines by themselves since the last row of data
	stats    []columnLook
	parts    *bool // whether lines part the table, nil until a row asks; see parted
	dittos   map[int]*dittoCount
	merged   map[int]*mergedCount
	under    []bool        // columns whose last cell was a ditto mark, or a blank under one
	before   int           // the grid's row of the last row of data, or -1
	above    []record.Cell // its cells, ditto marks read
	summed   int           // the number in the sheet of the last row that summed up others, or 0
	totals   bool          // one of them gives grand totals
}

// single is a line by itself; what comes after it shows what it is.
type single struct {
	at     record.Address
	text   string
	labels []record.Label // nil for a remark
}

// newBody makes the table of a span of columns, without its rows.
func (f *finder) newBody(h head, s span, end int, filled []bool, labels []record.Label) *body {
	b := &body{f: f, head: h, span: s, end: end, filled: filled, before: -1}
	b.table = &record.Table{File: f.grid.file, Sheet: f.grid.name, Transposed: f.turned, Labels: labels}
	b.columns()
	return b
}

// rows takes the rows under the headings. Rows that are not captures are reported
// apart by what they hold: nothing, the headings again, a summary, a section, a
// remark.
func (b *body) rows() {
	b.table.Rows = make([]record.TableRow, 0, b.end-b.head.last-1)
	for i := b.head.last + 1; i < b.end; i++ {
		b.row(i)
	}
	b.trail()
	b.unfilled()
	b.table.Rows = slices.Clip(b.table.Rows)
}

// row takes one row of the grid.
func (b *body) row(i int) {
	l := &b.f.grid.looks[i]
	n, first := b.f.grid.count(i, b.span)
	switch {
	case n == 0, l.again:
	case n > 1 && !b.f.o.Plain && (l.firstKind == mark || first != int(l.first)) && b.isRuled(i):
		b.f.leave("row-ruled", i, b.span, "the row holds only ruled lines; it was left out")
	case b.f.o.Plain, n > 2 && l.firstKind == value && !l.formula && first == int(l.first):
		b.add(i)
	default:
		b.judge(i, n, first)
	}
}

// trail notes the lines below the last row of data.
func (b *body) trail() {
	for _, s := range b.waiting {
		b.f.note("remark-trailing", s.at, s.text, "the line below the last row of the table is not a capture; it was left out")
	}
	b.waiting = nil
}

// judge tells rows that may be none of data.
func (b *body) judge(i, n, first int) {
	g := b.f.grid
	if b.isSummary(i, n, first) {
		b.f.leave("row-summary", i, b.span, "the row summarises rows above and is not a capture; it was left out")
		b.summed, b.totals = g.rows[i].Number, b.totals || isGrand(g.text(i, first))
		return
	}
	if b.explains(i, first) || b.isFootnote(i, n, first) || b.isRemark(i, n, first) {
		b.waiting = append(b.waiting, single{b.f.place(i), g.written(i, b.span), nil})
		return
	}
	labels := b.section(i, n, first)
	switch {
	case labels == nil:
		b.add(i)
	case n == 1 && labels[0].Name == Section && (isSentence(g.text(i, first)) && (isProse(g.text(i, first)) || !b.parted()) || taxon.CatchOf(g.text(i, first)) != taxon.Unstated):
		labels = nil
		fallthrough
	default:
		b.waiting = append(b.waiting, single{b.f.place(i), g.written(i, b.span), labels})
	}
}

// add takes a row of data. What stood by itself before it holds for it.
func (b *body) add(i int) {
	g := b.f.grid
	b.open()
	r := &g.rows[i]
	row := record.TableRow{Number: r.Number, Hidden: r.Hidden, Labels: b.sections[:len(b.sections):len(b.sections)]}
	row.Cells = b.cells(i)
	b.table.Rows = append(b.table.Rows, row)
	if (g.looks[i].ditto || slices.Contains(b.under, true)) && !b.f.o.Plain {
		b.ditto()
	}
	b.before, b.above = i, b.table.Rows[len(b.table.Rows)-1].Cells
}

// open makes sections of the lines that waited for a row of data.
func (b *body) open() {
	plain := false // the line before has no name of its own
	for _, s := range b.waiting {
		if s.labels == nil {
			b.f.note("remark-inside", s.at, s.text, "the line between the rows is not a capture; it was left out")
			continue
		}
		var says []string
		for _, l := range s.labels {
			if l.Name == Section && plain {
				l.Name = Section + " 2" // a place, then a visit: both hold
			}
			plain = l.Name == Section
			b.sections = replace(b.sections, l)
			says = append(says, fmt.Sprintf("%q as %s", l.Cell.Text, l.Name))
		}
		b.f.note("row-section", s.at, s.text, "the line applies to the rows below it: %s", strings.Join(says, ", "))
	}
	b.waiting = b.waiting[:0]
}

// cells returns the cells of a row under the columns of the table: those of the
// sheet where they are side by side in it, else a copy.
func (b *body) cells(i int) []record.Cell {
	r := &b.f.grid.rows[i]
	if n := len(b.used); n > 0 && !b.gaps {
		if from, to := b.used[0], b.used[n-1]+1; to <= len(r.Cells) {
			return r.Cells[from:to:to]
		}
	}
	out := make([]record.Cell, len(b.used))
	for k, c := range b.used {
		if c < len(r.Cells) {
			out[k] = r.Cells[c]
		} else {
			out[k] = record.Cell{Row: r.Number, Column: c + 1}
		}
	}
	return out
}

// replace puts a label in the place of one of the same name.
func replace(labels []record.Label, l record.Label) []record.Label {
	out := make([]record.Label, 0, len(labels)+1)
	for _, o := range labels {
		if fold(o.Name) != fold(l.Name) {
			out = append(out, o)
		}
	}
	return append(out, l)
}

// columnLook counts what a column holds in rows of several cells that sum
// nothing up.
type columnLook struct {
	filled, words int
	numbered      int             // words that are the mark of something
	shapes        map[string]bool // of values; nil once there are too many
	sentences     bool            // a cell holds more than a name
}

const maxShapes = 50

// look returns what a column of the grid holds. All columns are counted once,
// when a row first needs it.
func (b *body) look(c int) *columnLook {
	if b.stats == nil {
		b.countColumns()
	}
	return &b.stats[c-b.span.from]
}

func (b *body) countColumns() {
	g := b.f.grid
	b.stats = make([]columnLook, b.span.to-b.span.from)
	for i := b.head.last + 1; i < b.end; i++ {
		l := &g.looks[i]
		if l.filled < 2 || l.again {
			continue
		}
		n, first := g.count(i, b.span)
		if n < 2 {
			continue
		}
		if is, _ := isSummaryWord(g.cell(i, first).Text); is {
			continue
		}
		for c := max(b.span.from, int(l.first)); c < b.span.to && c <= int(l.last); c++ {
			s := &b.stats[c-b.span.from]
			cell := g.cell(i, c)
			switch kindOf(cell) {
			case blank:
				continue
			case word:
				s.words++
				if isNumbered(cell.Text) {
					s.numbered++
				}
				s.sentences = s.sentences || isSentence(cell.Text)
			case value:
				s.sentences = s.sentences || isSentence(cell.Text)
				if s.filled == 0 || s.shapes == nil {
					s.shapes = map[string]bool{}
				}
				if len(s.shapes) < maxShapes && len(cell.Text) <= longestHeading {
					s.shapes[shape(cell.Text)] = true
				}
			}
			s.filled++
		}
	}
}
