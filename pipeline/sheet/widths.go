package sheet

import (
	"cmp"
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

const (
	maxRagged = 200    // rows of odd width that get their own finding
	maxOdd    = 20_000 // rows of odd width that are named in all; more are counted
)

// width is the number of cells of a row, and of those up to its last that is
// not blank.
type width struct{ cells, filled int }

// widths remembers the first rows of each width, four bytes a row, since the
// commonest width is known only at the end.
type widths struct {
	lists   map[width]*widthRows
	last    width
	current *widthRows // of last
}

// widthRows are the rows of one width.
type widthRows struct {
	first []uint32
	last  uint32
	count int
}

func (w *widthRows) add(row int) {
	w.last = uint32(row)
	if w.count++; len(w.first) < maxRagged+maxOdd {
		w.first = append(w.first, uint32(row))
	}
}

func (w *widths) add(row record.Row) {
	n := len(row.Cells)
	filled := n
	for filled > 0 && row.Cells[filled-1].Text == "" {
		filled--
	}
	if filled == 0 {
		return
	}
	key := width{n, filled}
	if w.current == nil || key != w.last {
		if w.lists == nil {
			w.lists = map[width]*widthRows{}
		}
		if w.lists[key] == nil {
			w.lists[key] = &widthRows{}
		}
		w.last, w.current = key, w.lists[key]
	}
	w.current.add(row.Number)
}

// mode returns the commonest number of cells, the wider of equals, and the first
// and the last row that have it.
func (w *widths) mode() (cells int, first, last uint32) {
	counts, firsts, lasts := map[int]int{}, map[int]uint32{}, map[int]uint32{}
	for k, rows := range w.lists {
		counts[k.cells] += rows.count
		if f, ok := firsts[k.cells]; !ok || rows.first[0] < f {
			firsts[k.cells] = rows.first[0]
		}
		lasts[k.cells] = max(lasts[k.cells], rows.last)
	}
	for c, n := range counts {
		if n > counts[cells] || n == counts[cells] && c > cells {
			cells = c
		}
	}
	return cells, firsts[cells], lasts[cells]
}

// report returns a finding for each row that lacks cells or has some too many
// with something in them. Lines of half the cells or less above the first row of
// the common width are titles; one below the last may be a sum. Where it is the only
// one and the text ends in it, the file may be cut off.
func (w *widths) report(name string, unended bool, found func(record.Finding)) {
	mode, first, last := w.mode()
	type odd struct{ row, cells, filled int }
	var all []odd
	unnamed := 0
	for k, rows := range w.lists {
		if k.filled <= mode && mode <= k.cells {
			continue
		}
		unnamed += rows.count - len(rows.first)
		for _, r := range rows.first {
			if r < first && (k.cells == 1 || 2*k.cells <= mode) {
				continue
			}
			all = append(all, odd{int(r), k.cells, k.filled})
		}
	}
	sorting.Func(all, func(a, b odd) int { return cmp.Compare(a.row, b.row) })
	for i, o := range all {
		if i == maxRagged {
			break
		}
		f := record.Finding{Rule: ruleRagged, Level: record.Warning, At: record.Address{File: name, Row: o.row},
			Figures: []record.Figure{{Name: "cells", Value: float64(o.cells)}, {Name: "usual", Value: float64(mode)}}}
		f.Reason = fmt.Sprintf("the row has %d cells where most rows have %d", o.cells, mode)
		if o.cells == 1 { // a line of its own between rows: the layout reports what becomes of it
			f.Level, f.Reason = record.Note, fmt.Sprintf("the row has 1 cell where most rows have %d", mode)
		}
		if o.cells < mode && uint32(o.row) > last {
			if f.Level = record.Note; unended && len(all) == 1 && o.cells > 1 {
				f.Level = record.Warning
				f.Reason = fmt.Sprintf("the file ends in the middle of this row, after %d cells where most rows have %d: it may be cut off, and so may its last cell", o.cells, mode)
			}
		}
		if o.cells > mode {
			f.At.Column = mode + 1
		}
		found(f)
	}
	if more := len(all) + unnamed - maxRagged; more > 0 {
		f := record.Finding{Rule: ruleRagged, Level: record.Warning, At: record.Address{File: name},
			Reason:  fmt.Sprintf("%d more rows do not have the %d cells of most rows", more, mode),
			Figures: []record.Figure{{Name: "rows", Value: float64(more)}}}
		for _, o := range all[maxRagged:min(len(all), maxRagged+maxOdd)] {
			f.Also = append(f.Also, record.Address{File: name, Row: o.row})
		}
		found(f)
	}
}
