package layout

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// maxLeading is how many filled rows from the top are looked at for a heading
// row that nothing but its shape tells.
const maxLeading = 60

// firstByShape finds the heading row in rows lo to hi without knowing any
// heading: the first row of words over values, or the first row that is as
// wide as the table if a row as wide is above that one (a table with years
// for headings) or no row is words over values (a table of words only). Lines
// that name values are passed over. -1 means that there is none.
func (f *finder) firstByShape(lo, hi int) int {
	g := f.grid
	var rows []int
	widest := int32(0)
	for i := g.below(lo-1, hi); i >= 0 && len(rows) < maxLeading; i = g.below(i, hi) {
		rows = append(rows, i)
		widest = max(widest, g.looks[i].filled)
	}
	switch widest {
	case 0:
		return -1
	case 1:
		return f.singleColumn(rows)
	}
	best := f.wordsOverValues(rows)
	for k, i := range rows {
		l := &g.looks[i]
		if k == best {
			break
		}
		if l.filled < 2 && !f.overNames(i) || f.allNamed(i) && !(k == 0 && f.onlyNamed(rows)) || best < 0 && l.filled*2 < widest {
			continue
		}
		if best >= 0 && l.filled < g.looks[rows[best]].filled && !f.overNames(i) {
			continue
		}
		if f.inPairs(rows, k) {
			continue
		}
		return i
	}
	if best < 0 {
		return -1
	}
	return rows[best]
}

// singleColumn is for sheets with one cell per row: a known heading, or a word
// over values.
func (f *finder) singleColumn(rows []int) int {
	i := rows[0]
	text := f.grid.text(i, int(f.grid.looks[i].first))
	if f.named(text) || f.overValues(i) > 0 {
		return i
	}
	return -1
}

// wordsOverValues returns the place in rows of the first row of words that has
// nearly as many values below its words as any, or -1.
func (f *finder) wordsOverValues(rows []int) int {
	g := f.grid
	over := make([]int, len(rows))
	most := 0
	for k, i := range rows {
		l := &g.looks[i]
		if l.filled < 2 || l.values*5 > l.filled || l.words == 0 || f.allNamed(i) {
			continue
		}
		over[k] = f.overValues(i)
		most = max(most, over[k])
	}
	for k := range rows {
		if over[k] > 0 && over[k]*10 >= most*7 {
			return k
		}
	}
	return -1
}

// overValues counts the columns of a row in which a word is over values:
// most of what the next rows hold there.
func (f *finder) overValues(i int) int {
	g := f.grid
	var next []int
	for j := g.below(i, len(g.rows)); j >= 0 && len(next) < 5; j = g.below(j, len(g.rows)) {
		if len(next) == 0 && f.isUnitRow(j, i) {
			continue
		}
		next = append(next, j)
	}
	n := 0
	for _, c := range g.filled(i, g.all) {
		if kindOf(g.cell(i, c)) == value {
			continue
		}
		held, values := 0, 0
		for _, j := range next {
			switch kindOf(g.cell(j, c)) {
			case value:
				held++
				values++
			case word:
				held++
			}
		}
		if values*2 > held {
			n++
		}
	}
	return n
}

// onValues says whether words with nothing but single cells above them stand
// right on a row that is one of values by half at least and fills the same
// columns, with a value below the first of two. So do headings, even those that
// could name what is beside them; in lines of names a name stands there.
//
//	TBL   Kill
//	9     0
func (f *finder) onValues(i int) bool {
	g := f.grid
	if i+1 >= len(g.rows) || g.looks[i].words < g.looks[i].filled {
		return false
	}
	for j := range i {
		if g.looks[j].filled > 1 {
			return false
		}
	}
	down, cols := &g.looks[i+1], g.filled(i, g.all)
	if down.values*2 < down.filled || !slices.Equal(cols, g.filled(i+1, g.all)) {
		return false
	}
	for k := 0; k < len(cols); k += 2 {
		if kindOf(g.cell(i+1, cols[k])) == value {
			return true
		}
	}
	return false
}

// namesAtHead is how many rows show that the first column holds their names.
const namesAtHead = 3

// overNames says whether a row of words leaves nothing blank but the first column,
// in which each of the next rows has a name of its own, as statistics programs
// write the names of rows:
//
//	                 size   range
//	Puma_concolor    37     36
//	Lynx_rufus       8.6    21
func (f *finder) overNames(i int) bool {
	g := f.grid
	l := &g.looks[i]
	if l.filled < 2 && f.overValues(i) == 0 && strings.ContainsRune(g.text(i, int(l.first)), ' ') || l.words < l.filled || int(l.first) != g.all.from+1 || int(l.last-l.first) != int(l.filled)-1 || i+namesAtHead >= len(g.rows) {
		return false
	}
	names := map[string]bool{}
	for j := i + 1; j <= i+namesAtHead; j++ {
		if below := &g.looks[j]; below.filled != l.filled+1 || below.last != l.last || below.firstKind != g.looks[i+1].firstKind || isName(g.cell(j, g.all.from)) {
			return false
		}
		names[g.text(j, g.all.from)] = true
	}
	return len(names) == namesAtHead && !f.isKnown(i+1) && f.overValues(i+1) == 0
}

// onlyNamed says whether the first of rows of two words each is the only one that
// begins with a known heading: where nothing is wider it heads the others, and names
// nothing beside it.
func (f *finder) onlyNamed(rows []int) bool {
	g := f.grid
	for k, i := range rows {
		l := &g.looks[i]
		first := g.cell(i, int(l.first))
		if l.filled != 2 || l.words < 2 || i != rows[0]+k || isName(first) || f.named(first.Text) != (k == 0) {
			return false
		}
	}
	return len(rows) > namesAtHead
}

// inPairs says whether row k is one of a block of lines of two cells, a short
// word and something beside it, that ends at a blank row or at a wider row.
func (f *finder) inPairs(rows []int, k int) bool {
	g := f.grid
	if !f.isPair(rows[k]) {
		return false
	}
	for j := k + 1; j < len(rows); j++ {
		gap := rows[j] > rows[j-1]+1
		l := &g.looks[rows[j]]
		switch {
		case l.filled > 2:
			return l.words*2 > l.filled
		case gap && l.filled == 2 && l.words == 2 && f.overValues(rows[j]) > 0:
			return true
		case !f.isPair(rows[j]) && l.filled != 1:
			return false
		}
	}
	return false
}

const longestName = 30

// isPair says whether a row is a short word with one cell near it.
func (f *finder) isPair(i int) bool {
	g := f.grid
	l := &g.looks[i]
	if l.filled != 2 || l.firstKind != word || l.last > l.first+3 || f.overNames(i) {
		return false
	}
	return utf8.RuneCountInString(g.text(i, int(l.first))) <= longestName
}
