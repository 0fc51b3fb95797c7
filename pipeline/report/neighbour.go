package report

import (
	"slices"
	"sync"

	"spadefoot/pipeline/record"
)

// Neighbour is one cell of a row, for context.
type Neighbour struct {
	Cell          string // "H6"
	Heading, Text string
	Doubtful      bool
	Mark          bool // what a marked animal is known by
}

// markTerm is the term of the mark that an animal is known by.
const markTerm = "organismID"

// neighbour is a cell in the row of a finding.
func neighbour(at record.Address, col *record.Column, text string, f *record.Finding) Neighbour {
	return Neighbour{Cell: record.ColumnLetters(at.Column), Heading: col.Heading, Text: text, Doubtful: at == f.At || slices.Contains(f.Also, at), Mark: col.Meaning.Term == markTerm}
}

// RowOf lists the filled cells of the row of a capture whose table has some columns,
// and those that a finding is about.
func RowOf(c *record.Capture, columns []record.Column, f record.Finding) []Neighbour {
	var out []Neighbour
	for i := range columns {
		at := record.Address{File: c.File, Sheet: c.Sheet, Row: c.Row, Column: columns[i].Number}
		if n := neighbour(at, &columns[i], c.WrittenAt(at, columns[i].Meaning.Term), &f); n.Text != "" || n.Doubtful {
			out = append(out, n)
		}
	}
	return out
}

// tableRow is a row with its table.
type tableRow struct {
	t *record.Table
	r *record.TableRow
}

// RowsIn finds the row of a finding among tables, with every cell that
// the finding is about marked. The tables are looked through when the first row
// is asked for.
func RowsIn(tables []*record.Table) func(record.Finding) []Neighbour {
	index := sync.OnceValue(func() map[record.Address]tableRow { return rowsByAddress(tables) })
	return func(f record.Finding) []Neighbour {
		at, ok := index()[f.At.OfRow()]
		for i := 0; i < len(f.Also) && !ok; i++ {
			at, ok = index()[f.Also[i].OfRow()]
		}
		if !ok {
			return nil
		}
		return rowIn(at.t, at.r, f)
	}
}

// rowsByAddress lists the rows of tables by their place in the sheets.
func rowsByAddress(tables []*record.Table) map[record.Address]tableRow {
	index := map[record.Address]tableRow{}
	for _, t := range tables {
		if t.Transposed {
			continue // an animal is a column there, and its address no row
		}
		for i := range t.Rows {
			r := &t.Rows[i]
			last := 0
			for _, c := range r.Cells {
				if c.Row == last {
					continue // a row of the sheet, most often
				}
				last = c.Row
				at := record.Address{File: t.File, Sheet: t.Sheet, Row: c.Row}
				if _, there := index[at]; !there && c.Row > 0 {
					index[at] = tableRow{t, r}
				}
			}
		}
	}
	return index
}

// rowIn lists the filled cells of a row, and those in doubt.
func rowIn(t *record.Table, r *record.TableRow, f record.Finding) []Neighbour {
	var out []Neighbour
	for i, c := range r.Cells {
		if n := neighbour(t.Address(c), &t.Columns[i], c.Verbatim(), &f); !c.Empty() || n.Doubtful {
			out = append(out, n)
		}
	}
	return out
}
