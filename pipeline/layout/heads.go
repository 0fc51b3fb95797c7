package layout

import (
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

// head is a run of heading rows; indices into the rows of the grid.
type head struct {
	preamble int // first row of what stands above and belongs to it
	first    int // first heading row
	main     int // the row with the headings proper
	last     int // last heading row, a row of units included
	units    int // the row of units, or -1
	sub      int // the row of sub-headings under merged headings, or -1
}

// findHeads finds the heading rows from the top down.
//
// The first is told by the mapping; where that knows none, by what usually
// stands over columns; where that knows none either, by words over numbers and
// by being first. A further one is told by the mapping, by saying words that
// are headings above, or by breaking the run of rows (see breaks). Headings
// that say what those above them say, with nothing of their own over them, are
// only repeated and begin no table.
func (f *finder) findHeads() {
	switch {
	case f.o.HeadingRow > 0:
		f.statedHead()
		return
	case f.o.Plain:
		f.plainHead()
		return
	}
	first, floor := f.firstHead()
	if first < 0 {
		return
	}
	h := f.extend(first, floor)
	if above, ok := f.tableAbove(h); ok {
		f.add(above)
	} else {
		h.preamble = 0
	}
	f.add(h)
	f.further(h)
	f.namesOverValues()
}

// firstHead gives the first heading row.
func (f *finder) firstHead() (row, floor int) {
	all := len(f.grid.rows)
	for _, by := range []struct {
		known func(string) bool
		rows  int // how many filled rows are looked at
	}{{f.o.IsHeading, all}, {f.usual, 100}} {
		if by.known == nil {
			continue
		}
		f.judgeBy(by.known)
		looked := 0
		for i := 0; i < all && looked < by.rows; i++ {
			if f.grid.looks[i].filled == 0 {
				continue
			}
			looked++
			if f.isKnown(i) {
				f.mapped = by.rows == all
				return f.lower(i), 0
			}
		}
	}
	return f.firstByShape(0, all), 0
}

// lower steps from a row of group headings that happens to be known down to
// the headings proper.
func (f *finder) lower(i int) int {
	if j := i + 1; j < len(f.grid.rows) && f.isGroupRow(i, j) && f.isKnown(j) {
		return j
	}
	return i
}

// further looks for the heading rows of further tables.
func (f *finder) further(before head) {
	likes := before.last // the last row that looked like a heading row
	for i := before.last + 1; i < len(f.grid.rows); i++ {
		l := &f.grid.looks[i]
		if l.filled < 2 || l.values*2 > l.filled || l.firstKind == mark && l.words < 2 {
			continue
		}
		same := f.saysHeadings(i, before)
		if !same && !f.isKnown(i) && !f.breaks(i, before) {
			continue
		}
		if !same && likes == i-1 { // a list of headings is no run of tables
			likes = i
			continue
		}
		likes = i
		h := f.extend(f.lower(i), before.last+1)
		if f.repeats(before, &h) {
			f.markAgain(h)
			likes, i = h.last, h.last
			continue
		}
		f.add(h)
		before, likes, i = h, h.last, h.last
	}
}

// add takes up a head and remembers its words.
func (f *finder) add(h head) {
	f.heads = append(f.heads, h)
	if f.words == nil {
		f.words, f.raw = map[string]bool{}, map[string]bool{}
	}
	for _, c := range f.grid.filled(h.main, f.grid.all) {
		text := f.grid.cell(h.main, c).Text
		f.raw[text] = true
		if k := fold(text); k != "" {
			f.words[k] = true
		}
	}
}

// saysHeadings says whether all that a row says are headings above, and no few
// of them.
func (f *finder) saysHeadings(i int, before head) bool {
	g := f.grid
	if g.looks[i].filled*2 < g.looks[before.main].filled && !f.parallel(before) {
		return false
	}
	for _, c := range g.filled(i, g.all) {
		text := g.cell(i, c).Text
		if !f.raw[text] && (len(text) > longestHeading || !f.words[fold(text)]) {
			return false
		}
	}
	return true
}

// parallel says whether a heading row says its first heading several times, as
// over tables that stand side by side.
func (f *finder) parallel(h head) bool {
	return len(f.firstAgain(h, f.grid.all)) > 1
}

// firstAgain lists the columns in which the first heading stands.
func (f *finder) firstAgain(h head, s span) []int {
	var out []int
	first := ""
	for _, c := range f.grid.filled(h.main, s) {
		k := fold(f.grid.text(h.main, c))
		if first == "" {
			first = k
		}
		if k == first && k != "" {
			out = append(out, c)
		}
	}
	return out
}

// breaks is the evidence, without known headings, that another table begins:
// a blank row or a line by itself above, at least three words with no two
// alike, values below most of them, and values above some of them.
func (f *finder) breaks(i int, before head) bool {
	g := f.grid
	l := &g.looks[i]
	if l.words < 3 || l.values > 0 || i < 2 || g.looks[i-1].filled > 1 && !isName(g.cell(i-1, int(g.looks[i-1].first))) {
		return false
	}
	cols := g.filled(i, g.all)
	seen := map[string]bool{}
	for _, c := range cols {
		k := fold(g.text(i, c))
		if seen[k] {
			return false
		}
		seen[k] = true
	}
	above := i - 1
	for above > before.last && (g.looks[above].filled < 2 || f.allNamed(above)) {
		above--
	}
	below := g.below(i, len(g.rows))
	if below >= 0 && f.isUnitRow(below, i) {
		below = g.below(below, len(g.rows))
	}
	if above <= before.last || below < 0 {
		return false
	}
	up, down := 0, 0
	for _, c := range cols {
		if kindOf(g.cell(above, c)) == value {
			up++
		}
		if kindOf(g.cell(below, c)) == value {
			down++
		}
	}
	return up > 0 && down >= 2 && down*2 >= len(cols)
}

// repeats reports whether h says the same as the head before it, in the same
// columns, and has nothing of its own above: at most the group headings and the
// title of the page once more. Rows below that the head before has not are
// taken off h.
func (f *finder) repeats(before head, h *head) bool {
	g := f.grid
	if !f.saysSame(before.main, h.main) {
		return false
	}
	titles := map[string]bool{}
	for i := f.heads[0].preamble; i < f.heads[0].first; i++ {
		titles[pageTitle(g.written(i, g.all))] = true
	}
	for i := h.preamble; i < h.main; i++ {
		group := i >= h.first && before.main-(h.main-i) >= before.first && f.saysSame(before.main-(h.main-i), i)
		if g.looks[i].filled > 0 && !group && (!titles[pageTitle(g.written(i, g.all))] || f.allNamed(i)) {
			return false
		}
	}
	for i := h.main + 1; i <= h.last; i++ {
		if before.main+(i-h.main) > before.last || !f.saysSame(before.main+(i-h.main), i) {
			h.last = i - 1
		}
	}
	return true
}

// saysSame reports whether two rows say the same in the same columns.
func (f *finder) saysSame(i, j int) bool {
	g := f.grid
	a, b := g.filled(i, g.all), g.filled(j, g.all)
	return slices.Equal(a, b) && !slices.ContainsFunc(a, func(c int) bool {
		x, y := g.text(i, c), g.text(j, c)
		return x != y && (fold(x) == "" || fold(x) != fold(y))
	})
}

// markAgain marks the rows that repeat headings.
func (f *finder) markAgain(h head) {
	for i := h.preamble; i <= h.last; i++ {
		f.grid.looks[i].again = true
	}
}

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
	for k := h.last + 1; k < len(g.rows); k++ {
		if g.looks[k].filled >= 2 && f.saysHeadings(k, h) {
			if again := f.extend(k, h.last+1); f.repeats(h, &again) {
				f.markAgain(again)
				k = again.last
			}
		}
	}
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

// pageTitle is a title without its numbers: "page 2" stands for "page 1".
func pageTitle(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return -1
		}
		return r
	}, fold(text))
}
