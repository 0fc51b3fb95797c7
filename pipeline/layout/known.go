package layout

import (
	"cmp"
	"slices"
	"strings"
)

// maxJudged bounds how many different texts are put to the mapping, so that a
// long sheet of different words costs no more than a short one.
const maxJudged = 50_000

// judgeBy makes known the evidence for headings from here on.
func (f *finder) judgeBy(known func(string) bool) {
	f.known = known
	f.memo = map[string]bool{}
}

func (f *finder) usual(text string) bool { return usual(text) }

// knows puts a text to the evidence once.
func (f *finder) knows(text string) bool {
	if len(text) > longestHeading {
		return false
	}
	is, judged := f.memo[text]
	if judged || len(f.memo) >= maxJudged {
		return is
	}
	is = f.known(text)
	f.memo[f.own(text)] = is
	return is
}

// named reports whether a text is the name of something: a heading of the
// mapping, or what usually is one.
func (f *finder) named(text string) bool {
	if len(text) > longestHeading {
		return false
	}
	is, judged := f.names[text]
	if judged || len(f.names) >= maxJudged {
		return is
	}
	is = f.o.IsHeading != nil && f.o.IsHeading(text) || usual(text)
	f.names[f.own(text)] = is
	return is
}

// own returns a text that may be remembered: one that is cut from a chunk would
// hold the whole chunk in memory, so that it is copied.
func (f *finder) own(text string) string {
	if f.hold > 0 {
		return strings.Clone(text)
	}
	return text
}

// isKnown judges one row: at least half of what it holds, and two cells that differ,
// have to be known headings; "no" again and again is an answer. "Site, Tern Slough,
// Observer, I. Varga" is a row of names with their values and no heading row.
func (f *finder) isKnown(i int) bool {
	g := f.grid
	l := &g.looks[i]
	if l.filled < 2 || l.values*2 > l.filled || l.words < 2 && l.filled > l.words+1 {
		return false
	}
	known, not := int32(0), int32(0)
	first, differ := "", false
	pairs := true       // every known cell has an unknown one beside it
	named, bare := 0, 0 // values right of a known cell, and others
	last := false
	for c := int(l.first); c <= int(l.last); c++ {
		cell := g.cell(i, c)
		k := kindOf(cell)
		if k == blank {
			continue
		}
		if k == value && last && !g.blank(i, c-1) {
			named++
		} else if k == value {
			bare++
		}
		is := k != value && f.knows(cell.Text)
		if is {
			first = cmp.Or(first, cell.Text)
			differ = differ || cell.Text != first
			known++
		} else if not++; not*2 > l.filled {
			return false
		}
		if is == last {
			pairs = false
		}
		last = is
	}
	return differ && known*2 >= l.filled && !(pairs && !last && !f.overAlike(i)) && !(named > 1 && bare == 0)
}

// fewestAlike is how many rows below a line have to be alike for it to be their headings.
const fewestAlike = 3

// overAlike reports whether the rows below a line fill the columns that it does with cells
// of the same kinds, hardly any of which is a known heading: "site, season, method,
// duration" over words are no names with their values.
func (f *finder) overAlike(i int) bool {
	g := f.grid
	if i+fewestAlike >= len(g.rows) {
		return false
	}
	cols := g.filled(i, g.all)
	for j := i + 1; j <= i+fewestAlike; j++ {
		named := 0
		for _, c := range cols {
			if kindOf(g.cell(j, c)) != kindOf(g.cell(i+1, c)) {
				return false
			}
			if f.named(g.cell(j, c).Text) {
				named++
			}
		}
		if 2*named >= len(cols) || !slices.Equal(g.filled(j, g.all), cols) {
			return false
		}
	}
	return true
}

// isSurelyKnown says whether too many cells of a row are known headings for
// that to be chance: four at least, three of four, and no value among them.
func (f *finder) isSurelyKnown(i int) bool {
	g := f.grid
	if g.looks[i].values > 0 {
		return false
	}
	known := 0
	first, differ := "", false
	cols := g.filled(i, g.all)
	for _, c := range cols {
		if text := g.cell(i, c).Text; f.knows(text) {
			first = cmp.Or(first, text)
			differ = differ || text != first
			known++
		}
	}
	return differ && known >= 4 && known*4 >= len(cols)*3
}
