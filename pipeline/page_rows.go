package pipeline

import (
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// neighbours finds the row of a finding in the tables, with every cell that
// the finding is about marked.
func (w *way) neighbours() func(record.Finding) []report.Neighbour {
	type found struct {
		t *record.Table
		r *record.TableRow
	}
	index := map[record.Address]found{}
	for _, l := range w.laid {
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
					index[at] = found{l.table, r}
				}
			}
		}
	}
	return func(f record.Finding) []report.Neighbour {
		for _, a := range append([]record.Address{f.At}, f.Also...) {
			if at, ok := index[record.Address{File: a.File, Sheet: a.Sheet, Row: a.Row}]; ok {
				return rowOf(at.t, at.r, f)
			}
		}
		return nil
	}
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
