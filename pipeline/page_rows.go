package pipeline

import (
	"slices"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// tableRow is a row with its table.
type tableRow struct {
	t *record.Table
	r *record.TableRow
}

// neighboursIn finds the row of a finding among tables, with every cell that
// the finding is about marked. The tables are looked through when the first row
// is asked for.
func neighboursIn(tables []tableOf) func(record.Finding) []report.Neighbour {
	index := sync.OnceValue(func() map[record.Address]tableRow { return rowsOf(tables) })
	return func(f record.Finding) []report.Neighbour {
		at, ok := index()[rowAddress(f.At)]
		for i := 0; i < len(f.Also) && !ok; i++ {
			at, ok = index()[rowAddress(f.Also[i])]
		}
		if !ok {
			return nil
		}
		return rowOf(at.t, at.r, f)
	}
}

// rowsOf lists the rows of tables by their place in the sheets.
func rowsOf(tables []tableOf) map[record.Address]tableRow {
	index := map[record.Address]tableRow{}
	for _, l := range tables {
		if l.table.Transposed {
			continue // an animal is a column there, and its address no row
		}
		for i := range l.table.Rows {
			r := &l.table.Rows[i]
			last := 0
			for _, c := range r.Cells {
				if c.Row == last {
					continue // a row of the sheet, most often
				}
				last = c.Row
				at := record.Address{File: l.table.File, Sheet: l.table.Sheet, Row: c.Row}
				if _, there := index[at]; !there && c.Row > 0 {
					index[at] = tableRow{l.table, r}
				}
			}
		}
	}
	return index
}

// rowOf lists the filled cells of a row, and those in doubt.
func rowOf(t *record.Table, r *record.TableRow, f record.Finding) []report.Neighbour {
	var out []report.Neighbour
	for i, c := range r.Cells {
		at := t.Address(c)
		doubtful := at == f.At || slices.Contains(f.Also, at)
		if c.Empty() && !doubtful {
			continue
		}
		out = append(out, report.Neighbour{Cell: record.ColumnLetters(c.Column), Heading: t.Columns[i].Heading, Text: c.Verbatim(), Doubtful: doubtful})
	}
	return out
}
