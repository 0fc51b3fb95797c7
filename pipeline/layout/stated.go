package layout

import (
	"slices"

	"spadefoot/pipeline/record"
)

// statedHead takes the heading row that survey.yaml names.
func (f *finder) statedHead() {
	g := f.grid
	i := slices.IndexFunc(g.rows, func(r record.Row) bool { return r.Number == f.o.HeadingRow })
	if i < 0 || g.looks[i].filled == 0 {
		return
	}
	h := head{first: i, main: i, last: i, units: -1, sub: -1}
	switch {
	case f.o.HeadingRows > 0:
		f.statedRows(&h)
	case !f.o.Plain:
		for h.main < i+2 && h.main+1 < len(g.rows) && f.isGroupRow(h.main, h.main+1) && f.overValues(h.main+1) > f.overValues(h.main) {
			h.main++
		}
		h.last = h.main
		f.extendDown(&h)
	}
	f.add(h)
	if f.o.Plain {
		return
	}
	for f.next = h.last + 1; f.next < f.judged(); f.next++ {
		if again, is := f.tellStated(f.next, h); is == sameHeadings {
			f.markAgain(again)
			f.next = max(f.next, again.last)
		}
	}
}

// tellStated judges row i under headings whose row is stated: it may repeat
// them, and begins no other table.
func (f *finder) tellStated(i int, h head) (again head, is says) {
	if f.grid.looks[i].filled < 2 || !f.saysHeadings(i, h) {
		return head{}, noHeadings
	}
	again = f.extend(i, h.last+1)
	if f.repeats(h, &again) {
		return again, sameHeadings
	}
	return head{}, noHeadings
}

// statedRows parts the stated number of heading rows into groups, headings,
// sub-headings and units.
func (f *finder) statedRows(h *head) {
	h.last = min(h.first+f.o.HeadingRows-1, len(f.grid.rows)-1)
	h.main = h.last
	if h.main > h.first && f.isUnitRow(h.main, h.main-1) {
		h.units = h.main
		h.main--
	}
	if h.main > h.first && f.isSubRow(h.main, h.main-1) {
		h.sub = h.main
		h.main--
	}
}

// plainHead takes the first row that holds something.
func (f *finder) plainHead() {
	i := f.grid.below(-1, len(f.grid.rows))
	if i < 0 {
		return
	}
	h := head{preamble: i, first: i, main: i, last: i, units: -1, sub: -1}
	if f.o.HeadingRows > 0 {
		f.statedRows(&h)
	}
	f.add(h)
}
