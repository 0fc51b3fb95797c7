package layout

// part is a span of columns that is its own table, or a box of words
// beside a table.
type part struct {
	span
	aside bool
	other bool // a table that holds no captures
}

// filledColumns says of each column whether rows under the headings, before
// end, hold something in it.
func (f *finder) filledColumns(h head, end int) []bool {
	g := f.grid
	out := make([]bool, g.all.to)
	var open []int
	for c := g.all.from; c < g.all.to; c++ {
		open = append(open, c)
	}
	for i := h.last + 1; i < end && len(open) > 0; i++ {
		l := &g.looks[i]
		if l.filled == 0 || l.again {
			continue
		}
		kept := open[:0]
		for _, c := range open {
			if c < int(l.first) || c > int(l.last) || g.blank(i, c) {
				kept = append(kept, c)
			} else {
				out[c] = true
			}
		}
		open = kept
	}
	return out
}

// spans parts the columns under the headings into tables that stand side by
// side:
//
//	Species: R. luteiventris     Species: A. boreas
//	No   SVL   Mass              No   SVL   Mass
//	1    61    ...               1    88    ...
//
// A blank column alone parts no table. Right of it the first heading of the
// table has to stand again, and half of the others, so that a block of second
// measurements stays with its animals; or a label of the same name is over
// the first column of both. Without a blank column the headings have to be the
// same to the last, and such labels or a first heading that tells animals apart
// have to be over each. At least two columns of words right of a blank
// column that are under no heading are a box of explanations.
//
// A row of titles, one over each table, is given back by the headings.
func (f *finder) spans(h *head, top, end int, filled []bool) []part {
	if f.o.Plain {
		return []part{{span: f.grid.all}}
	}
	runs := f.runs(*h, filled)
	if len(runs) == 0 {
		return []part{{span: f.grid.all}}
	}
	keys := f.cutKey(*h, runs, end)
	labelled := f.labelledColumns(*h, top)
	var out []part
	var first span
	for n, r := range runs {
		switch {
		case (n == 0 || n == len(runs)-1) && len(runs) > 1 && f.isOther(h.main, r):
			out = append(out, part{span: r, other: true})
		case n == 0 || len(out) == 1 && out[0].other:
			first = r
			out = append(out, part{span: r})
		case f.isAside(*h, r, end):
			out = append(out, part{span: r, aside: true})
		case f.parted(*h, first, r, labelled):
			out = append(out, part{span: r})
		default:
			last := &out[len(out)-1]
			if last.aside { // what is right of the box belongs to the table
				last.aside = false
			}
			last.to = r.to
		}
	}
	if keys.to > keys.from {
		out = append(out, part{span: keys, aside: true})
	}
	var cut []part
	for _, p := range out {
		cut = append(cut, f.cutAgain(*h, p, labelled)...)
	}
	cut = joinAside(cut)
	f.titlesOver(h, cut)
	return cut
}

// runs are the columns that hold something, parted at blank columns.
func (f *finder) runs(h head, filled []bool) []span {
	g := f.grid
	var out []span
	at := -1
	for c := g.all.from; c <= g.all.to; c++ {
		holds := c < g.all.to && (filled[c] || f.hasHeading(h, c))
		switch {
		case holds && at < 0:
			at = c
		case !holds && at >= 0:
			out = append(out, span{at, c})
			at = -1
		}
	}
	return out
}

// cutKey takes the columns at the right end off the runs that hold nothing but what
// codes mean, from the headings down:
//
//	Species  Sex  FA    Mdau = Myotis daubentonii
//	Mdau     f    37.4  Ppip = Pipistrellus pipistrellus
func (f *finder) cutKey(h head, runs []span, end int) span {
	last := &runs[len(runs)-1]
	key := span{last.to, last.to}
	for last.to > last.from+1 && f.isKeyColumn(h, last.to-1, end) {
		last.to--
		key.from--
	}
	return key
}

// isKeyColumn reports whether each cell of a column, two at least, tells what a
// code means.
func (f *finder) isKeyColumn(h head, c, end int) bool {
	n := 0
	for i := h.first; i < end; i++ {
		if f.grid.blank(i, c) {
			continue
		}
		if !codeExplained.MatchString(f.grid.text(i, c)) {
			return false
		}
		n++
	}
	return n > 1
}

// hasHeading says whether one of the heading rows holds something in a column.
func (f *finder) hasHeading(h head, c int) bool {
	for i := h.first; i <= h.last; i++ {
		if !f.grid.blank(i, c) {
			return true
		}
	}
	return false
}

// labelledColumns returns the columns above the headings in which a name stands
// that is in that row, or another one, over several columns.
func (f *finder) labelledColumns(h head, top int) map[int]string {
	at := map[string]map[int]bool{}
	for i := top; i < h.main; i++ {
		for _, p := range f.line(i, f.grid.all, false) {
			if k := fold(p.Name); k != "" {
				if at[k] == nil {
					at[k] = map[int]bool{}
				}
				at[k][p.at] = true
			}
		}
	}
	out := map[int]string{}
	for k, cols := range at {
		if len(cols) < 2 {
			continue
		}
		for c := range cols {
			if old := out[c]; old == "" || k < old {
				out[c] = k
			}
		}
	}
	return out
}

// parted is the evidence that what is right of a blank column is a table
// of its own.
func (f *finder) parted(h head, first, right span, labelled map[int]string) bool {
	g := f.grid
	if k := labelled[right.from]; k != "" && k == labelled[first.from] {
		n, _ := g.count(h.main, right)
		return n > 1
	}
	had := map[string]bool{}
	start := ""
	for _, c := range g.filled(h.main, first) {
		k := fold(g.text(h.main, c))
		if start == "" {
			start = k
		}
		had[k] = true
	}
	cols := g.filled(h.main, right)
	again := 0
	for _, c := range cols {
		if had[fold(g.text(h.main, c))] {
			again++
		}
	}
	return len(cols) >= 2 && again >= 2 && again*2 >= len(cols) && start != "" && fold(g.text(h.main, cols[0])) == start
}

// cutAgain parts tables that are side by side with no blank column between.
func (f *finder) cutAgain(h head, p part, labelled map[int]string) []part {
	starts := f.firstAgain(h, p.span)
	if p.aside || len(starts) < 2 {
		return []part{p}
	}
	name := labelled[starts[0]]
	mark := h.first == h.last && tellsAnimals(f.grid.text(h.main, starts[0]))
	width := starts[1] - starts[0]
	for k, c := range starts {
		if width < 2 || c != starts[0]+k*width || c+width > p.to || !mark && (name == "" || labelled[c] != name) {
			return []part{p}
		}
		for n := range width {
			if fold(f.grid.text(h.main, c+n)) != fold(f.grid.text(h.main, starts[0]+n)) {
				return []part{p}
			}
		}
	}
	if !f.nothingBetween(h, span{starts[len(starts)-1] + width, p.to}) {
		return []part{p}
	}
	var out []part
	for k, c := range starts {
		s := span{c, p.to}
		if k == 0 {
			s.from = p.from
		}
		if k+1 < len(starts) {
			s.to = starts[k+1]
		}
		out = append(out, part{span: s})
	}
	return out
}

// nothingBetween reports whether no heading is over the columns.
func (f *finder) nothingBetween(h head, s span) bool {
	n, _ := f.grid.count(h.main, s)
	return n == 0
}

// titlesOver gives rows back to what is above the headings that are no
// group headings but titles: each cell begins one of the tables.
func (f *finder) titlesOver(h *head, parts []part) {
	if len(parts) < 2 {
		return
	}
	starts := map[int]bool{}
	for _, p := range parts {
		if cols := f.grid.filled(h.main, p.span); len(cols) > 0 {
			starts[cols[0]] = true
		}
	}
	for h.first < h.main {
		for _, c := range f.grid.filled(h.first, f.grid.all) {
			if !starts[c] {
				return
			}
		}
		h.first++
	}
}
