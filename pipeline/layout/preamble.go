package layout

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// above goes up from the heading rows over the lines that belong to them:
// titles, names with values, and blank rows between. A row of data ends it.
// Under another table a blank row ends it too, except for names with values:
// a plain line beyond it is a remark on the table before, and so is what stands
// close to the last row of data and apart from the headings.
func (f *finder) above(h head, floor int) int {
	g := f.grid
	at, gap := h.first, false
	for i := h.first - 1; i >= floor; i-- {
		switch {
		case g.looks[i].filled == 0:
			gap = at < h.first
			continue
		case floor > 0 && gap && !f.allNamed(i):
			return at
		case !f.isPreambleRow(i, h, floor > 0):
			return f.closeTo(i, at, h.first)
		}
		at = i
	}
	return at
}

// closeTo passes over the lines from at that stand close to the row of data
// above them, if a blank row parts them from what comes before first.
func (f *finder) closeTo(data, at, first int) int {
	if at != data+1 {
		return at
	}
	for i := at; i < first; i++ {
		if f.grid.looks[i].filled == 0 {
			if next := f.grid.below(i, first); next >= 0 {
				return next
			}
			return first
		}
	}
	return at
}

// isPreambleRow says whether a row that is not a heading row is above one: a
// title (one cell), names with values, or titles over several tables.
func (f *finder) isPreambleRow(i int, h head, under bool) bool {
	g := f.grid
	l := &g.looks[i]
	first := g.cell(i, int(l.first))
	if is, _ := isSummaryWord(first.Text); is && l.values > 0 {
		return false
	}
	switch {
	case l.filled == 1:
		return !under || l.words == 1 && !g.looks[h.main].isLone() || isName(first) || isDay(first)
	case f.allNamed(i):
		return true
	case !under && f.isPair(i) && g.looks[h.main].filled > 2:
		return true
	case l.words < l.filled || l.filled*2 > g.looks[h.main].filled:
		return false
	}
	for _, c := range g.filled(i, g.all) { // titles over tables side by side
		if c > int(l.first) && !g.blank(i, c-1) {
			return false
		}
	}
	return true
}

// isLone reports whether a row holds one cell.
func (l *look) isLone() bool { return l.filled == 1 }

// allNamed says whether a row holds nothing but names with their values.
func (f *finder) allNamed(i int) bool {
	l := &f.grid.looks[i]
	if l.filled == 0 || l.firstKind != word || l.values*2 > l.filled {
		return false
	}
	first := f.grid.cell(i, int(l.first))
	if !isName(first) && (l.filled < 2 || !f.named(first.Text) || f.onValues(i) || f.overNames(i)) {
		return false
	}
	said := f.line(i, f.grid.all, false)
	if !slices.ContainsFunc(said, func(p placed) bool { return !p.empty }) && f.onValues(i) {
		return false // headings with colons: what they name is below them
	}
	return !slices.ContainsFunc(said, func(p placed) bool { return p.Name == "" })
}

// placed is a label and the column in which its name stands.
type placed struct {
	record.Label
	at     int
	equals bool   // written with =
	empty  bool   // a name with no value
	whole  string // the cell as written
}

// line reads one line: "name: value" in a cell, "name:" with the value in the
// next cell, a known heading with its value beside it, or a title. With pairs,
// any word with one cell beside it is a name and its value; so is a word with a
// value beside it among several known headings with theirs.
func (f *finder) line(i int, s span, pairs bool) []placed {
	g := f.grid
	var out []placed
	cols := g.filled(i, s)
	among := f.namedValues(i, cols) > 1
	for k := 0; k < len(cols); k++ {
		c := cols[k]
		cell := g.cell(i, c)
		var next *record.Cell
		if k+1 < len(cols) && cols[k+1] <= c+3 && !isName(g.cell(i, cols[k+1])) {
			next = g.cell(i, cols[k+1])
		}
		p, ok := pair{}, false
		if isName(cell) {
			p, ok = nameValue(cell.Text)
		}
		switch {
		case ok && p.value != "":
			out = append(out, pairsOf(cell, c)...)
		case ok && next != nil:
			out = append(out, placed{Label: record.Label{Name: p.name, Cell: *next}, at: c})
			k++
		case ok:
			out = append(out, placed{Label: record.Label{Name: p.name, Cell: *cell}, at: c, empty: true, whole: cell.Text})
		case next != nil && kindOf(cell) == word && (pairs && len(cols) == 2 || cols[k+1] == c+1 && (f.named(cell.Text) && (!f.named(next.Text) || f.isLonePair(i)) || among && kindOf(next) == value)):
			out = append(out, placed{Label: record.Label{Name: strings.TrimSpace(cell.Text), Cell: *next}, at: c})
			k++
		default:
			out = append(out, placed{Label: record.Label{Cell: *cell}, at: c})
		}
	}
	return out
}

// pairsOf takes the names with their values out of a cell in column c.
func pairsOf(cell *record.Cell, c int) (out []placed) {
	for _, p := range severalPairs(cell.Text) {
		v := *cell
		v.Text, v.Kind = p.value, record.Text
		out = append(out, placed{Label: record.Label{Name: p.name, Cell: v}, at: c, equals: p.equals, empty: p.value == "", whole: cell.Text})
	}
	return out
}

// namedValues counts the known headings of a line with a value right of them.
func (f *finder) namedValues(i int, cols []int) int {
	n := 0
	for k := 1; k < len(cols); k++ {
		name, next := f.grid.cell(i, cols[k-1]), f.grid.cell(i, cols[k])
		if cols[k] == cols[k-1]+1 && kindOf(next) == value && kindOf(name) == word && f.named(name.Text) {
			n++
		}
	}
	return n
}

// preamble reads the rows above the headings into labels, per table. A label
// belongs to the table under which it stands; one over the first table only,
// with a name that no other table has, belongs to all. A line without a name
// is a title.
func (f *finder) preamble(h head, top int, spans []part) [][]record.Label {
	lines, gap := f.lines(h, top)
	owners := map[string]map[int]bool{}
	for _, p := range lines {
		k := fold(p.Name)
		if owners[k] == nil {
			owners[k] = map[int]bool{}
		}
		owners[k][under(p.at, spans)] = true
	}
	out := make([][]record.Label, len(spans))
	f.inherit(h, out, lines)
	for n, p := range lines {
		own := under(p.at, spans)
		shared := len(spans) > 1 && own == 0 && len(owners[fold(p.Name)]) == 1
		for t := range spans {
			if t == own || shared {
				out[t] = append(out[t], p.Label)
			}
		}
		if h.main != f.heads[0].main {
			continue
		}
		if p.Name != "" {
			f.firstNames[fold(p.Name)] = true
		} else {
			f.firstLines++
		}
		if shared && p.Name != "" || len(spans) == 1 {
			f.first = append(f.first, firstLabel{p.Label, n < gap})
		}
	}
	return out
}

// lines reads the lines above the headings. gap is how many labels stand
// before the last blank row.
func (f *finder) lines(h head, top int) (out []placed, gap int) {
	g := f.grid
	headings := map[string]bool{}
	for _, c := range g.filled(h.main, g.all) {
		headings[fold(g.text(h.main, c))] = true
	}
	block, before, values := f.pairBlock(h, top), 0, -1
	for i := top; i < h.first; i++ {
		if g.looks[i].filled == 0 {
			before = len(out)
			continue
		}
		gap = before
		line := f.line
		if row, ok := f.over[i]; ok {
			values = row
			line = func(i int, _ span, _ bool) []placed { return f.overLine(i, row) }
		} else if i == values {
			continue
		}
		for _, p := range line(i, g.all, block && f.isPair(i)) {
			switch {
			case p.empty:
				f.note("label-empty", f.at(&p.Cell), p.whole, "%q has no value", p.Name)
				continue
			case p.equals && headings[fold(p.Name)]: // explains a heading
				p.Name, p.Cell.Text = "", p.whole
			}
			out = append(out, p)
		}
	}
	for i := h.first; i < h.main; i++ {
		if c := int(g.looks[i].first); f.isTitle(i, h.main, c) {
			out = append(out, placed{Label: record.Label{Cell: *g.cell(i, c)}, at: c})
		}
	}
	return out, gap
}

// pairBlock says whether at least two of the lines above the headings are a
// short word and a cell beside it, the words in one column.
func (f *finder) pairBlock(h head, top int) bool {
	n, column := 0, int32(-1)
	for i := top; i < h.first; i++ {
		if l := &f.grid.looks[i]; f.isPair(i) && f.grid.looks[h.main].filled > 2 {
			if column >= 0 && l.first != column {
				return false
			}
			column = l.first
			n++
		}
	}
	return n >= 2
}

// under returns the table whose columns a column of a line above belongs to.
func under(column int, spans []part) int {
	t := 0
	for i, s := range spans {
		if column >= s.from && !s.aside {
			t = i
		}
	}
	return t
}
