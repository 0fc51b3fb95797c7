package layout

import (
	"regexp"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/quantity"
)

// maxGroups is how many rows of group headings may be over the headings.
const maxGroups = 2

// extend takes in the group headings above a row of headings, the sub-headings
// and units below it, and finds where what belongs to them begins. Nothing
// before floor belongs to them.
func (f *finder) extend(main, floor int) head {
	if up := main - 1; up >= floor && f.isUpper(up, main) {
		main = up
	}
	h := head{first: main, main: main, last: main, units: -1, sub: -1}
	for h.first > floor && main-h.first < maxGroups && f.isGroupRow(h.first-1, h.first) {
		h.first--
	}
	f.extendDown(&h)
	h.preamble = f.above(h, floor)
	return h
}

// isUpper says whether the headings proper are in the row above, because
// those of some columns are merged downwards:
//
//	No   Sex   Lengths
//	           SVL   Tibia
func (f *finder) isUpper(up, main int) bool {
	g := f.grid
	l := &g.looks[up]
	if l.filled < 2 || l.values > 0 && !f.isDated(up, main) || !f.isSubRow(main, up) {
		return false
	}
	alone := false
	for _, c := range g.filled(up, g.all) {
		if isName(g.cell(up, c)) {
			return false
		}
		alone = alone || g.blank(main, c)
	}
	return alone
}

func (f *finder) extendDown(h *head) {
	for next := h.main + 1; next < len(f.grid.rows); next++ {
		switch {
		case f.isUnitRow(next, h.main):
			h.last, h.units = next, next
			return
		case h.sub < 0 && f.isSubRow(next, h.main):
			h.last, h.sub = next, next
		case f.describes(next, h.main):
			if !f.said[next] {
				f.leave("headings-explained", next, f.grid.all, "the row explains the headings above it and is not a capture; it was left out")
			}
			f.said[next] = true
			h.last = next
			return
		default:
			return
		}
	}
}

const longestGroup = 40

// isGroupRow says whether a row names groups of the columns below:
//
//	            Lengths (mm)        Mass
//	No   Date   SVL  Tibia  HW      gross  bag
//
// It is words only, fewer than there are headings below and each over one of
// them, or over a column with no heading of its own that holds something; it
// names no values; one group takes in several columns; and it is not a title,
// which is in the first column, alone or before the groups.
func (f *finder) isGroupRow(i, main int) bool {
	g := f.grid
	l, m := &g.looks[i], &g.looks[main]
	dated := l.values > 0 && f.isDated(i, main)
	if l.filled == 0 || l.filled >= m.filled || l.values > 0 && !dated || m.values*2 > m.filled || (l.filled == 1 && l.first <= m.first) {
		return false
	}
	cols := g.filled(i, g.all)
	wide := false
	for k, c := range cols {
		text := g.text(i, c)
		if f.isTitle(i, main, c) {
			continue
		}
		if isName(g.cell(i, c)) || codeExplained.MatchString(text) || kindOf(g.cell(i, c)) != word && !dated || utf8.RuneCountInString(text) > longestGroup {
			return false
		}
		if g.blank(main, c) {
			if !f.holdsBelow(main, c) {
				return false
			}
			continue
		}
		end := int(m.last) + 1
		if k+1 < len(cols) {
			end = cols[k+1]
		}
		n, _ := g.count(main, span{c, end})
		wide = wide || n > 1
	}
	return wide && !f.allNamed(i)
}

// isDated says whether the values of a row are days under each of which the same
// headings begin:
//
//	Lizard   Sex   2 May 2018    16 May 2018
//	               SVL   Mass    SVL   Mass
func (f *finder) isDated(i, main int) bool {
	g := f.grid
	days, heading := 0, ""
	for _, c := range g.filled(i, g.all) {
		cell := g.cell(i, c)
		if kindOf(cell) != value {
			continue
		}
		below := fold(g.text(main, c))
		if !isDay(cell) || below == "" || kindOf(g.cell(main, c)) != word || heading != "" && below != heading {
			return false
		}
		heading = below
		days++
	}
	return days > 1
}

// isTitle says whether a cell of a row above the headings, over the first of
// them, is the title of the sheet: a sentence, or words with a year.
func (f *finder) isTitle(i, main, c int) bool {
	g := f.grid
	text := g.text(i, c)
	return int32(c) == g.looks[i].first && int32(c) <= g.looks[main].first && (len(strings.Fields(text)) > 3 || hasYear.MatchString(text))
}

var hasYear = regexp.MustCompile(`\b(1[89]|20)\d\d\b`)

// holdsBelow says whether one of the next rows below the headings holds
// something in a column.
func (f *finder) holdsBelow(main, c int) bool {
	g := f.grid
	for i, n := g.below(main, len(g.rows)), 0; i >= 0 && n < maxLeading; i, n = g.below(i, len(g.rows)), n+1 {
		if !g.blank(i, c) {
			return true
		}
	}
	return false
}

// subHeading is what is under merged headings without being a word.
var subHeading = regexp.MustCompile(`^(?:[1-9]|[1-9](?:st|nd|rd|th)|#[1-9]|[IVX]{1,3}|[1-9][.)])$`)

const longestSub = 20

// isSubRow says whether a row parts merged headings above it:
//
//	No   SVL             Tibia
//	     1    2    3     left  right
//
// Its cells are in runs that begin under a heading and go on under the
// blanks right of it; one run at least has two cells; a heading without a run
// or values further down show that the row is not a row of data.
func (f *finder) isSubRow(i, main int) bool {
	g := f.grid
	l, m := &g.looks[i], &g.looks[main]
	if l.filled < 2 || m.filled < 1 || l.skip {
		return false
	}
	runs, alone := 0, 0
	for c := g.all.from; c < g.all.to; c++ {
		under, over := !g.blank(i, c), !g.blank(main, c)
		if under {
			text := g.text(i, c)
			if kindOf(g.cell(i, c)) == value && !subHeading.MatchString(text) || utf8.RuneCountInString(text) > longestSub || isName(g.cell(i, c)) {
				return false
			}
		}
		switch {
		case over && !under:
			alone++
		case under && !over:
			if c == g.all.from || g.blank(i, c-1) {
				return false // begins under no heading
			}
			if !g.blank(main, c-1) {
				runs++
			}
		}
	}
	return runs > 0 && (alone > 0 || f.overValues(i) > 0)
}

// scaleEnds matches the lowest and the highest score of a scale.
var scaleEnds = regexp.MustCompile(`^[01] ?[-–] ?\d{1,2}$`)

// isUnitRow says whether a row gives the units of the headings above it:
//
//	No   Date      SVL   Mass   Sex
//	     dd/mm/yy  (mm)  g      M/F
//
// At least half of its cells are units, most of which have no word below them
// ("stub"), the others short words, marks or the ends of a scale ("0-3"). A lone
// letter is a unit only over values.
func (f *finder) isUnitRow(i, main int) bool {
	g := f.grid
	l := &g.looks[i]
	if l.filled == 0 || l.skip {
		return false
	}
	units, others, overWords := 0, 0, 0
	below := g.below(i, len(g.rows))
	for _, c := range g.filled(i, g.all) {
		text := unitText(g.text(i, c))
		under := blank
		if below >= 0 {
			under = kindOf(g.cell(below, c))
		}
		_, ok := quantity.FindUnit(text)
		switch {
		case kindOf(g.cell(i, c)) == value:
			if !scaleEnds.MatchString(text) {
				return false
			}
			others++
		case ok && under == word:
			overWords++
		case ok && (under == value || utf8.RuneCountInString(g.text(i, c)) > 1):
			units++
		case strings.Trim(text, "-–—. ") == "":
		case utf8.RuneCountInString(text) > 12 || isName(g.cell(i, c)):
			return false
		default:
			others++
		}
	}
	return overWords*2 < units && (units > others || units > 1 && units == others)
}

// describes says whether a row tells in words what the headings above it mean:
//
//	svl                          wt               obs
//	snout-vent length in mm      weight in grams  initials of the observer
//	57                           8.5              KM
//
// It is words only, under nearly every heading, longer than these on the whole,
// and most of it is over values or over much shorter words.
func (f *finder) describes(i, main int) bool {
	g := f.grid
	l, m := &g.looks[i], &g.looks[main]
	if l.filled < 3 || l.values > 0 || l.words < l.filled || l.filled*5 < m.filled*4 || l.skip {
		return false
	}
	below := g.below(i, len(g.rows))
	if below < 0 {
		return false
	}
	longer, over := int32(0), int32(0)
	for _, c := range g.filled(i, g.all) {
		n := utf8.RuneCountInString(g.text(i, c))
		if n > utf8.RuneCountInString(g.text(main, c)) && strings.ContainsRune(g.text(i, c), ' ') {
			longer++
		}
		if k := kindOf(g.cell(below, c)); k == value || k == word && utf8.RuneCountInString(g.text(below, c))*3 <= n {
			over++
		}
	}
	return longer*3 >= l.filled*2 && over*3 >= l.filled*2
}

// unitText takes the brackets off a unit.
func unitText(s string) string {
	return strings.TrimSpace(strings.Trim(strings.TrimSpace(s), "()[]"))
}

// tableAbove looks for a table with headings that nobody knows above the first
// one that has known ones: at least three rows of three cells.
func (f *finder) tableAbove(h head) (head, bool) {
	rows := 0
	for i := range h.preamble {
		if f.grid.looks[i].filled >= 3 && !f.allNamed(i) {
			rows++
		}
	}
	if rows < 3 {
		return head{}, false
	}
	i := f.firstByShape(0, h.preamble)
	if i < 0 || f.grid.looks[i].filled < 3 {
		return head{}, false
	}
	up := f.extend(i, 0)
	up.preamble = 0
	return up, up.last < h.preamble
}
