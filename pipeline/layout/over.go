package layout

import (
	"strings"

	"spadefoot/pipeline/record"
)

// namesOverValues turns a table of one row into lines above the next one:
//
//	Site          Date         Observer
//	Tern Slough   3 May 2021   I. Varga
//
//	No   SVL   Mass
//	1    61    20
//
// Nothing in it tells animals apart or is measured: what its headings usually
// stand for is the same for many captures, and the table below says none of
// them.
func (f *finder) namesOverValues() {
	kept := f.heads[:0]
	for k, h := range f.heads {
		if k+1 < len(f.heads) {
			next := &f.heads[k+1]
			if row := f.onlyRow(h, next.preamble); row >= 0 && f.holdsForMany(h, row, *next) {
				f.over[h.main] = row
				next.preamble = h.preamble
				continue
			}
		}
		kept = append(kept, h)
	}
	f.heads = kept
}

// onlyRow returns the row under the headings if there is one and no more.
func (f *finder) onlyRow(h head, end int) int {
	if h.first != h.last {
		return -1
	}
	row := f.grid.below(h.last, end)
	if row < 0 || f.grid.below(row, end) >= 0 {
		return -1
	}
	return row
}

// holdsForMany judges the names and the row of values below them.
func (f *finder) holdsForMany(names head, row int, next head) bool {
	g := f.grid
	said := map[string]bool{}
	for _, c := range g.filled(next.main, g.all) {
		said[fold(g.text(next.main, c))] = true
	}
	for _, c := range g.filled(names.main, g.all) {
		text := g.text(names.main, c)
		if !sameForMany(text) || said[fold(text)] {
			return false
		}
	}
	for _, c := range g.filled(row, g.all) {
		if g.blank(names.main, c) {
			return false
		}
	}
	return true
}

// overLine returns the labels of a row of names with the values below them.
func (f *finder) overLine(names, row int) []placed {
	var out []placed
	for _, c := range f.grid.filled(names, f.grid.all) {
		name, cell := f.grid.cell(names, c), f.grid.cell(row, c)
		if cell.Empty() {
			out = append(out, placed{Label: record.Label{Name: strings.TrimSpace(name.Text), Cell: *name}, at: c, empty: true, whole: name.Text})
			continue
		}
		out = append(out, placed{Label: record.Label{Name: strings.TrimSpace(name.Text), Cell: *cell}, at: c})
	}
	return out
}
