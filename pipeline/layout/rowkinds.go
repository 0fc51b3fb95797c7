package layout

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
)

// isSummary says whether a row is a total or a mean and no capture:
//
//	mean           61.3  12.1
//	total   14
//
// Such a word stands first and nothing but numbers behind it. A word that may
// mean something else ("SE", "Max", "n") must stand out of place: among
// numbers, under another such row, or in a row with fewer cells than the one
// above. A row of formulas under rows of plain values needs no word.
func (b *body) isSummary(i, n, first int) bool {
	g := b.f.grid
	if len(b.used) < 2 || n < 2 && !g.looks[i].formula {
		return false
	}
	if b.sumsOn(i, first) {
		return true
	}
	is, sure := isSummaryWord(g.cell(i, first).Text)
	if kindOf(g.cell(i, first)) != word || !is {
		return b.isFormulas(i, n, first) || b.isTally(i)
	}
	for c := first + 1; c < b.span.to; c++ {
		cell := g.cell(i, c)
		if k := kindOf(cell); k == word && !(sure && first == b.used[0] && b.outOfPlace(first)) {
			if more, _ := isSummaryWord(cell.Text); !more {
				return false
			}
		}
	}
	if sure || i > 0 && b.summed == g.rows[i-1].Number {
		return true
	}
	if s := b.look(first); s.filled > 0 && s.words*2 < s.filled {
		return true
	}
	above := 0
	if b.before >= 0 {
		above, _ = g.count(b.before, b.span)
	}
	return n < above && b.before == i-1 || n < above-1
}

// sumsOn says whether a row goes on with the sums of the row above, of something
// else, in columns that that one fills as well:
//
//	total     toads  34
//	          frogs  2
func (b *body) sumsOn(i, first int) bool {
	g := b.f.grid
	if i == 0 || b.summed != g.rows[i-1].Number || first == b.used[0] {
		return false
	}
	named := false
	for _, c := range g.filled(i, b.span) {
		if g.blank(i-1, c) {
			return false
		}
		named = named || kindOf(g.cell(i, c)) == word && kindOf(g.cell(i-1, c)) == word
	}
	return named
}

// leastUnfilled is the number of rows with nothing but a number from which they
// are rows of a form; fewer may be animals that got away.
const leastUnfilled = 3

// unfilled takes off the rows at the end that hold nothing but numbers that count
// on, as forms for a season to come have them.
func (b *body) unfilled() {
	rows := b.table.Rows
	from, column := len(rows), -1
	for from > 0 {
		c := onlyCell(rows[from-1].Cells)
		if c < 0 || column >= 0 && c != column || column >= 0 && !follows(rows[from-1].Cells[c].Text, rows[from].Cells[c].Text) {
			break
		}
		from, column = from-1, c
	}
	if b.f.o.Plain || len(rows)-from < leastUnfilled {
		return
	}
	var texts []string
	var also []record.Address
	for _, r := range rows[from:] {
		texts = append(texts, r.Cells[column].Text)
		also = append(also, b.f.at(&r.Cells[column]))
	}
	b.f.find(record.Finding{Rule: "rows-unfilled", Level: record.Note, At: record.Address{File: b.f.grid.file, Sheet: b.f.grid.name}, Also: also, Value: strings.Join(texts, " | "),
		Reason: counted(len(also), "row") + " at the end of the table hold nothing but a number and are no captures; they were left out"})
	b.table.Rows = rows[:from]
}

// onlyCell is the column of the only cell of a row that holds something, or -1.
func onlyCell(cells []record.Cell) int {
	only := -1
	for i := range cells {
		if cells[i].Empty() {
			continue
		}
		if only >= 0 || cells[i].Comment() != "" {
			return -1
		}
		only = i
	}
	return only
}

// follows says whether a whole number is the one after another.
func follows(before, after string) bool {
	a, errA := strconv.Atoi(strings.TrimSpace(before))
	z, errZ := strconv.Atoi(strings.TrimSpace(after))
	return errA == nil && errZ == nil && z == a+1
}

// isFormulas says whether a row holds formulas under a row that holds plain values
// in the same columns, and nothing else, or in a row with fewer cells than that one
// a word for them:
//
//	F7          69.8  70.1  24.6  M
//	class mean  64.9  65.1  22.8
func (b *body) isFormulas(i, n, first int) bool {
	g := b.f.grid
	if !g.looks[i].formula || b.before < 0 || len(b.used) == 0 {
		return false
	}
	above, _ := g.count(b.before, b.span)
	words, plain := 0, 0
	for _, c := range g.filled(i, b.span) {
		switch under := g.cell(b.before, c); {
		case !g.cell(i, c).Formula && kindOf(g.cell(i, c)) == word:
			words++
		case !g.cell(i, c).Formula || under.Empty():
			return false
		case !under.Formula:
			plain++
		}
	}
	if words == 0 {
		return first != b.used[0] && plain == n
	}
	return words == 1 && n > 2 && n < above && plain > 0
}

// isTally says whether a row counts what is above it: words where the first column
// holds values, and a number beside them, in a row that is with others of its kind
// between blank rows, or below a row that sums up.
//
//	2017-05-19  N4  31  R
//
//	Captures    13
//	Recaptures  6
func (b *body) isTally(i int) bool {
	if b.before < 0 || !b.counts(i) {
		return false
	}
	if b.summed == b.f.grid.rows[i-1].Number {
		return true
	}
	from, to := i, i
	for from > b.before && b.counts(from) {
		from--
	}
	for to < b.end && to < i+maxTallies && b.counts(to) {
		to++
	}
	return from > b.before && b.f.grid.looks[from].filled == 0 && (to == b.end || b.f.grid.looks[to].filled == 0)
}

const maxTallies = 20

// counts reports whether a row is words out of place with a number beside them, once
// or several times: "New  12    Recaptures  6".
func (b *body) counts(i int) bool {
	g := b.f.grid
	cols := g.filled(i, b.span)
	if len(b.used) < 4 || len(cols) == 0 || cols[0] != b.used[0] || !b.outOfPlace(cols[0]) {
		return false
	}
	for k, c := range cols {
		if kindOf(g.cell(i, c)) != [2]kind{word, value}[k%2] || k%2 == 1 && b.place(c) != b.place(cols[k-1])+1 {
			return false
		}
	}
	return len(cols)%2 == 0
}

// isRuled says whether a row holds nothing but lines, as people and programs
// draw them under headings: "-----", ":---:", "====".
func (b *body) isRuled(i int) bool {
	g := b.f.grid
	long := false
	for c := b.span.from; c < b.span.to; c++ {
		text := strings.TrimSpace(g.text(i, c))
		if !isLine(text) {
			return false
		}
		long = long || len(text) > 2
	}
	return long
}

// isLine reports whether a text is a line drawn with marks, or a point of one.
func isLine(text string) bool { return strings.Trim(text, "-=_:+*–—─ ") == "" }

// explains says whether a row tells what the codes under a heading mean ("SEX:
// 0 = female, 1 = male"), or each of its cells what one code means.
func (b *body) explains(i, first int) bool {
	if !slices.ContainsFunc(b.f.grid.filled(i, b.span), func(c int) bool { return !codeExplained.MatchString(b.f.grid.text(i, c)) }) {
		return true
	}
	name, codes, ok := strings.Cut(b.f.grid.text(i, first), ":")
	return ok && len(name) <= longestHeading && strings.Contains(codes, "=") && b.f.words[fold(name)]
}

// codeExplained matches a code or a mark and what it means: "PM = Peromyscus
// maniculatus", "s/d = sin dato".
var codeExplained = regexp.MustCompile(`^\s*[\p{L}\p{N}?+*/.-]{1,6}\s*=\s*\p{L}`)

// footnote matches what a mark in the table refers to: "* measured twice",
// "† maximum chord".
var footnote = regexp.MustCompile(`^(?:[*†‡§¶]+|[¹²³⁴])\s?\p{L}`)

// isFootnote says whether a row below a blank one explains a mark: it holds words
// only, in half of the columns at most, and nothing above begins so.
func (b *body) isFootnote(i, n, first int) bool {
	g := b.f.grid
	if n*2 > len(b.used) || i == 0 || !footnote.MatchString(strings.TrimSpace(g.text(i, first))) {
		return false
	}
	for _, c := range g.filled(i, b.span) {
		if kindOf(g.cell(i, c)) != word {
			return false
		}
	}
	return b.before < i-1
}

// isRemark says whether a row tells of the day or of the rows around it: a
// sentence where the column holds values, alone or beside a day.
//
//	Date    Time   Net  Species
//	12.06.  cloudy, no wind, nets open from 21:30
//	12.06.  22:05  1    Mdau
func (b *body) isRemark(i, n, first int) bool {
	g := b.f.grid
	cols := g.filled(i, b.span)
	last := cols[len(cols)-1]
	if n > 2 || len(b.used) < 4 || b.place(last) < 1 || n == 2 && !isDay(g.cell(i, first)) {
		return false
	}
	s := b.look(last)
	return kindOf(g.cell(i, last)) == word && isSentence(g.text(i, last)) && s.filled > 0 && s.words*2 < s.filled
}

// section returns what a line between the rows says for those after it, or nil
// if it is a row of data:
//
//	No   SVL   Mass
//	Pond B
//	3    64    21
//	Site: Tern Slough     Date: 4 May
//
// It is names with values only, or one text in a table of at least three
// columns that does not look like what else is in its column: the number of
// an animal that got away is a capture, "Pond B" in its place is not. In a
// column of words only a line that begins with a word for a place or a visit is
// told apart, and lines that part all of the table.
func (b *body) section(i, n, first int) []record.Label {
	g := b.f.grid
	cell := g.cell(i, first)
	column := b.place(first)
	if n == 1 && column == 0 && len(b.used) > 2 && b.outOfPlace(first) {
		if labels := dayLine(*cell); labels != nil {
			return labels
		}
	}
	if n <= 8 && isName(cell) && len(b.used) >= 2 && (n > 1 || column <= 1 || b.outOfPlace(first)) {
		return b.namedLine(i)
	}
	if n == 2 && len(b.used) >= 4 && column == 0 && kindOf(cell) == word && b.outOfPlace(first) && b.f.named(cell.Text) {
		return b.namedLine(i)
	}
	if n != 1 || len(b.used) < 3 && !(len(b.used) == 2 && beginsSection(cell.Text)) {
		return nil
	}
	s := b.look(first)
	if column == 0 && s.filled > 0 && !s.sentences && isSentence(cell.Text) {
		return []record.Label{sectionLabel(*cell)} // among numbers and names of animals
	}
	if column == 0 && !isProse(cell.Text) && b.parted() {
		return []record.Label{sectionLabel(*cell)}
	}
	switch kindOf(cell) {
	case word:
		if column == 0 && isNumbered(cell.Text) && !beginsSection(cell.Text) {
			return nil // the mark of an animal
		}
		if s.filled == 0 && column == 0 {
			if name := b.table.Columns[0].Heading; name != "" {
				return []record.Label{{Name: name, Cell: *cell}}
			}
			return []record.Label{sectionLabel(*cell)}
		}
		marks := column == 0 && s.numbered == s.filled && !strings.ContainsAny(cell.Text, "0123456789")
		if !b.outOfPlace(first) && !marks && !(column == 0 && s.words > 0 && beginsSection(cell.Text) && !b.heldAbove(cell, first)) {
			return nil
		}
	case value:
		if column == 0 && len(b.used) > 3 && isDay(cell) && s.shapes[shape(cell.Text)] && b.table.Columns[0].Heading != "" {
			return []record.Label{{Name: b.table.Columns[0].Heading, Cell: *cell}} // the day of the rows below, and no animal
		}
		if column > 0 || s.shapes[shape(cell.Text)] || !isDay(cell) || s.filled > 0 && s.words*2 > s.filled {
			return nil
		}
		if s.filled == 0 && b.table.Columns[0].Heading != "" {
			return []record.Label{{Name: b.table.Columns[0].Heading, Cell: *cell}}
		}
	default:
		return nil
	}
	return []record.Label{sectionLabel(*cell)}
}

// parted reports whether lines of one cell part the whole table: the first row is one,
// each has rows below it and a text that stands nowhere else in its column.
//
//	Stream   Date    SVL
//	R1
//	Beck     3 May   64
//	Beck     3 May   58
//	R2
//	Sike     4 May   61
//
// What the first rows of a long sheet show holds for all of them.
func (b *body) parted() bool {
	if b.parts == nil {
		parts := b.partedBy()
		b.parts = &parts
	}
	return *b.parts
}

func (b *body) partedBy() bool {
	g := b.f.grid
	lines, cells := map[string]bool{}, map[string]bool{}
	rows, open := 0, false // rows of several cells; whether none has come since the last line
	for i := b.head.last + 1; i < b.end; i++ {
		n, first := g.count(i, b.span)
		if n == 0 || g.looks[i].again {
			continue
		}
		text := fold(g.text(i, b.used[0]))
		if n > 1 {
			if len(lines) == 0 {
				return false
			}
			rows, open, cells[text] = rows+1, false, true
			continue
		}
		if isProse(g.text(i, first)) {
			continue
		}
		if first != b.used[0] || open || lines[text] {
			return false
		}
		lines[text], open = true, true
	}
	for text := range lines {
		if cells[text] {
			return false
		}
	}
	return !open && len(lines) > 1 && rows >= 2*len(lines)
}

// dayLine parts a day from what is said of it: "March 14 - 6 C, light rain".
func dayLine(c record.Cell) []record.Label {
	if isDay(&c) {
		return nil // "3 May, 2021"
	}
	for _, mark := range []string{" - ", " – ", ": ", ", "} {
		day, rest, ok := strings.Cut(c.Text, mark)
		if !ok {
			continue
		}
		of, said := c, c
		of.Text, said.Text = strings.TrimSpace(day), strings.TrimSpace(rest)
		if isDay(&of) && said.Text != "" {
			return []record.Label{{Name: SectionDate, Cell: of}, {Name: SectionRemarks, Cell: said}}
		}
	}
	return nil
}

// place is which column of the table a column of the grid is, or -1.
func (b *body) place(c int) int {
	for k, u := range b.used {
		if u == c {
			return k
		}
	}
	return -1
}

// outOfPlace reports whether words are rare in a column.
func (b *body) outOfPlace(c int) bool {
	s := b.look(c)
	if s.filled == 0 {
		return b.place(c) == 0
	}
	return s.words*2 < s.filled
}

// heldAbove reports whether a row of several cells before says the same in the
// column.
func (b *body) heldAbove(cell *record.Cell, c int) bool {
	return b.before >= 0 && fold(b.f.grid.text(b.before, c)) == fold(cell.Text)
}

// namedLine returns the labels of a line of names with values, or nil.
func (b *body) namedLine(i int) []record.Label {
	var out []record.Label
	for _, p := range b.f.line(i, b.span, false) {
		if p.Name == "" || p.empty {
			return nil
		}
		out = append(out, p.Label)
	}
	return out
}

// isNumbered reports whether a text is one word with a digit in it.
func isNumbered(text string) bool {
	text = strings.TrimSpace(text)
	return strings.ContainsAny(text, "0123456789") && !strings.ContainsAny(text, " \t")
}

// isSentence tells a remark from the name of a section, which may have a day behind
// it: "Night 2 (13 Jan 2021)".
func isSentence(text string) bool {
	if len(text) < len("a b c d e") {
		return false
	}
	words := strings.Fields(text)
	if utf8.RuneCountInString(text) > longestGroup || len(words) <= 4 {
		return utf8.RuneCountInString(text) > longestGroup
	}
	return !beginsSection(text) || !isNumbered(words[1]) && utf8.RuneCountInString(words[1]) > 1
}

// isProse reports whether a text is too long for a name, or ends as a sentence does.
func isProse(text string) bool {
	return utf8.RuneCountInString(text) > longestGroup || strings.HasSuffix(strings.TrimSpace(text), ".")
}

// isDay reports whether a cell is one day and nothing else: a stored date, or
// a text with a month's name or with marks between its numbers.
func isDay(c *record.Cell) bool {
	if c.Kind == record.Date {
		return true
	}
	text := strings.TrimSpace(c.Text)
	if c.Kind == record.Number || len(text) < 5 || len(text) > 30 || strings.IndexFunc(text, unicode.IsDigit) < 0 {
		return false
	}
	o := calendar.Options{Order: calendar.DMY}
	if strings.IndexFunc(text, unicode.IsLetter) >= 0 {
		o.DefaultYear = 2000 // "3 May" is a day of a year that is known elsewhere
	} else if !strings.ContainsAny(text, "./- ") {
		return false
	}
	d := calendar.Parse(text, o)
	if d.ISO == "" && o.Order == calendar.DMY {
		o.Order = calendar.MDY
		d = calendar.Parse(text, o)
	}
	return d.ISO != "" && d.Precision >= calendar.ToDay && d.Remark == "" || calendar.Yearless(text)
}
