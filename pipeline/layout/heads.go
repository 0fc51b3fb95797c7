package layout

import (
	"slices"
)

// head is a run of heading rows; indices into the rows of the grid.
type head struct {
	preamble int // first row of what is above and belongs to it
	first    int // first heading row
	main     int // the row with the headings proper
	last     int // last heading row, a row of units included
	units    int // the row of units, or -1
	sub      int // the row of sub-headings under merged headings, or -1
}

// findHeads finds the heading rows from the top down.
//
// The first is told by the mapping; where that knows none, by what usually
// is over columns; where that knows none either, by words over numbers and
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
	first := f.firstHead()
	if first < 0 {
		return
	}
	h := f.extend(first, 0)
	if above, ok := f.tableAbove(h); ok {
		f.add(above)
	} else {
		h.preamble = 0
	}
	f.add(h)
	f.further(h)
	f.namesOverValues()
}

// firstHead returns the first heading row.
func (f *finder) firstHead() int {
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
			if !f.isKnown(i) || f.isLonePair(i) {
				continue
			}
			if f.mapped = by.rows == all; !f.mapped && !f.isSurelyKnown(i) && f.wideAbove(i) {
				return f.firstByShape(0, all) // words of a row of data, by chance
			}
			return f.lower(i)
		}
	}
	return f.firstByShape(0, all)
}

// isLonePair reports whether a row is one name with its value, though the value happens
// to be a heading too: a blank row is below it, and then a wider row of headings.
//
//	Reach   BT
//
//	No  Date   Species  SVL
func (f *finder) isLonePair(i int) bool {
	g := f.grid
	if !f.isPair(i) || i+1 >= len(g.rows) || g.looks[i+1].filled > 0 {
		return false
	}
	below := g.below(i, len(g.rows))
	return below >= 0 && g.looks[below].filled > 3 && f.isKnown(below)
}

// wideAbove says whether a row of as many cells, or of words over all of them but
// the first, and no line of names, stands above.
func (f *finder) wideAbove(i int) bool {
	g := f.grid
	for j := range i {
		l := &g.looks[j]
		wide := l.filled >= g.looks[i].filled || j == i-1 && l.filled == g.looks[i].filled-1 && l.words == l.filled && int(l.first) == g.all.from+1
		if wide && !f.allNamed(j) && !f.isPair(j) {
			return true
		}
	}
	return false
}

// lower steps from a row of group headings that happens to be known down to
// the headings proper: known ones, or words over values, as those of observers.
//
//	        SVL                 HW
//	Frog    Anna   Ben   mean   Anna   Ben   mean
//	F1      71.2   71.6  71.4   25.1   25.4  25.3
func (f *finder) lower(i int) int {
	j := i + 1
	if j >= len(f.grid.rows) || !f.isGroupRow(i, j) {
		return i
	}
	if l := &f.grid.looks[j]; f.isKnown(j) || l.values == 0 && f.overValues(j)*2 >= int(l.filled) {
		return j
	}
	return i
}

// further looks for the heading rows of further tables.
func (f *finder) further(before head) {
	f.likes = before.last
	for f.next = before.last + 1; f.next < f.judged(); f.next++ {
		h, is := f.tell(f.next, before)
		switch is {
		case noHeadings:
			continue
		case sameHeadings:
			f.markAgain(h)
		case otherHeadings:
			f.add(h)
			before = h
		}
		f.likes, f.next = h.last, max(f.next, h.last)
	}
}

// says is what a row under headings turns out to be.
type says uint8

const (
	noHeadings    says = iota
	sameHeadings       // the headings above once more
	otherHeadings      // those of another table
)

// tell judges row i, above which the headings before stand.
func (f *finder) tell(i int, before head) (h head, is says) {
	l := &f.grid.looks[i]
	if l.filled < 2 || l.values*2 > l.filled || l.firstKind == mark && l.words < 2 {
		return head{}, noHeadings
	}
	if l.values == 0 && f.isOther(i, f.grid.all) {
		return f.extend(i, before.last+1), otherHeadings
	}
	same := f.saysHeadings(i, before)
	if !same && !(f.isKnown(i) && f.begins(i)) && !f.breaks(i, before) {
		return head{}, noHeadings
	}
	list := f.likes == i-1
	f.likes = i
	if !same && list { // a list of headings is not a run of tables
		return head{}, noHeadings
	}
	h = f.extend(f.lower(i), before.last+1)
	if f.repeats(before, &h) {
		return h, sameHeadings
	}
	return h, otherHeadings
}

// begins is what known headings need to be more than words of a row of data: a
// blank row or a line above, or values below most of them.
func (f *finder) begins(i int) bool {
	g := f.grid
	up := &g.looks[i-1]
	return up.filled <= 1 || isName(g.cell(i-1, int(up.first))) || f.overValues(i)*2 >= int(g.looks[i].filled) || f.isGroupRow(i-1, i)
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
// over tables that are side by side.
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
// a blank row or a line by itself above; at least three words with no two
// alike, in other columns than the headings before or under a line; values
// below most of them, and above some.
func (f *finder) breaks(i int, before head) bool {
	g := f.grid
	l := &g.looks[i]
	if l.words < 3 || l.values > 0 || i < 2 || g.looks[i-1].filled > 1 && !isName(g.cell(i-1, int(g.looks[i-1].first))) {
		return false
	}
	cols := g.filled(i, g.all)
	if g.looks[i-1].filled == 0 && slices.Equal(cols, g.filled(before.main, g.all)) {
		return false
	}
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
	down := f.valuesIn(below, cols)
	return f.valuesIn(above, cols) > 0 && down >= 2 && down*2 >= len(cols)
}

// valuesIn counts the values that a row holds in the columns.
func (f *finder) valuesIn(i int, cols []int) int {
	n := 0
	for _, c := range cols {
		if kindOf(f.grid.cell(i, c)) == value {
			n++
		}
	}
	return n
}
