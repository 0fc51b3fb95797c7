package layout

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

const (
	fewestCards = 3  // of one animal each, below one another
	fewestNames = 3  // on a card
	maxNames    = 60 // on a card
)

// cardRow is a row of a card. Its key is what all cards have in common: the
// first name in it.
type cardRow struct {
	at    int
	key   string
	pairs []record.Label
}

// cards takes a sheet apart in which each animal has its own card:
//
//	Card     1     Date  3 May        ID: LC001
//	SVL      61    Sex   F            SVL: 61 mm
//	                                  Mass: 4.2 g
//	Card     2     Date  3 May
//	SVL      58    Sex   M            ID: LC002
//
// The names come again and again in the same columns, with one value each. The
// table has a row for each card; the first name is its column, and the others
// are labels of the row. It returns nil where the sheet is none of cards.
func (f *finder) cards() *record.Table {
	if f.o.stated() || len(f.o.SkipRows) > 0 || f.o.FirstColumn > 1 || f.o.LastColumn > 0 || f.o.LastRow > 0 {
		return nil
	}
	g := f.grid
	judged := min(len(g.rows), shortest) // what a sheet is shows in its first rows
	names, count := f.nameColumns(judged)
	f.cardLines = f.numberedLines(judged)
	var rows []cardRow
	for i := g.below(-1, judged); i >= 0; i = g.below(i, judged) {
		if f.partsCards(i) {
			continue
		}
		r, fits := f.cardRow(i, names, count)
		if !fits {
			return nil
		}
		rows = append(rows, r)
	}
	starts := cardStarts(rows)
	if len(starts) < fewestCards || !f.areCards(rows, starts) {
		return nil
	}
	first := rows[starts[0]]
	for i := g.below(judged-1, len(g.rows)); i >= 0; i = g.below(i, len(g.rows)) {
		if f.partsCards(i) {
			continue
		}
		r, _ := f.cardRow(i, names, count)
		if r.key == first.key && r.pairs[0].Cell.Column == first.pairs[0].Cell.Column {
			starts = append(starts, len(rows))
		}
		rows = append(rows, r)
	}
	for i := g.below(-1, len(g.rows)); i >= 0; i = g.below(i, len(g.rows)) {
		if f.partsCards(i) {
			f.leave("row-ruled", i, g.all, "the row holds only ruled lines; it was left out")
		}
	}
	return f.cardTable(rows, starts)
}

// shortestLine is how many marks in one cell are a line between cards and no mark for
// nothing.
const shortestLine = 4

// partsCards reports whether a row holds nothing but a line.
func (f *finder) partsCards(i int) bool {
	l := &f.grid.looks[i]
	text := strings.TrimSpace(f.grid.text(i, int(l.first)))
	return l.filled == 1 && len(text) >= shortestLine && isLine(text)
}

// cardRow reads a row that holds something. It fits if it holds names with a value
// each, or one line without a name; any other cell is a line by itself.
func (f *finder) cardRow(i int, names map[int]bool, count map[string]int) (r cardRow, fits bool) {
	g := f.grid
	r, fits = cardRow{at: i}, true
	var last *record.Label // a name that waits for its value
	for _, c := range g.filled(i, g.all) {
		cell := g.cell(i, c)
		p, ok := pair{}, false
		if isName(cell) {
			p, ok = nameValue(cell.Text)
		}
		switch {
		case g.looks[i].filled == 1 && f.cardLines[lineBefore(cell.Text)]:
			r.pairs = append(r.pairs, record.Label{Name: strings.TrimSpace(lineBefore(cell.Text)), Cell: *cell})
		case ok && p.value != "":
			for _, p := range pairsOf(cell, c) {
				r.pairs = append(r.pairs, p.Label)
			}
			last = nil
		case ok:
			r.pairs = append(r.pairs, record.Label{Name: p.name, Cell: record.Cell{Row: cell.Row, Column: cell.Column + 1}})
			last = &r.pairs[len(r.pairs)-1]
		case names[c] && kindOf(cell) == word && (g.looks[i].filled > 1 || count[fold(cell.Text)] >= fewestCards || f.named(cell.Text)):
			r.pairs = append(r.pairs, record.Label{Name: strings.TrimSpace(cell.Text), Cell: record.Cell{Row: cell.Row, Column: cell.Column + 1}})
			last = &r.pairs[len(r.pairs)-1]
		case last != nil:
			last.Cell, last = *cell, nil
		default:
			r.pairs = append(r.pairs, record.Label{Cell: *cell})
			fits = fits && g.looks[i].filled == 1
		}
	}
	r.key = fold(r.pairs[0].Name)
	return r, fits
}

// numberedLines finds the lines with which cards begin, "Toad No. 1", by what stands
// before their numbers: the same in all.
func (f *finder) numberedLines(end int) map[string]bool {
	g := f.grid
	count, lines := map[string]int{}, map[string]bool{}
	for i := g.below(-1, end); i >= 0; i = g.below(i, end) {
		if before := lineBefore(g.text(i, int(g.looks[i].first))); before != "" && g.looks[i].filled == 1 {
			count[before]++
			lines[before] = count[before] >= fewestCards
		}
	}
	return lines
}

// lineBefore returns what stands before the number at the end of a text, or "".
func lineBefore(text string) string {
	text = strings.TrimSpace(text)
	before := strings.TrimRight(text, "0123456789")
	if before == text || kindOfText(strings.TrimSpace(before)) != word || strings.ContainsAny(before, "0123456789:=") {
		return ""
	}
	return before
}

// nameColumns tells the columns that hold nothing but names: in rows that begin
// alike they say the same, of the rows before end. Count is how many of these begin
// with a text.
func (f *finder) nameColumns(end int) (names map[int]bool, count map[string]int) {
	g := f.grid
	names, count = map[int]bool{}, map[string]int{}
	said, not := map[string]map[int]string{}, map[int]bool{} // said: what is in each column of rows that begin alike
	lead := -1
	for i := g.below(-1, end); i >= 0; i = g.below(i, end) {
		first := int(g.looks[i].first)
		if lead < 0 || first < lead {
			lead = first
		}
		key := fold(g.text(i, first))
		count[key]++
		if said[key] == nil {
			said[key] = map[int]string{}
		}
		for _, c := range g.filled(i, g.all) {
			text := fold(g.text(i, c))
			had, again := said[key][c]
			said[key][c] = text
			names[c] = true
			not[c] = not[c] || kindOf(g.cell(i, c)) != word || again && had != text
		}
	}
	for c := range not {
		if not[c] && c != lead {
			delete(names, c)
		}
	}
	return names, count
}

// cardStarts returns where the first name that comes again stands.
func cardStarts(rows []cardRow) (starts []int) {
	count := map[string]int{}
	for _, r := range rows {
		count[r.key]++
	}
	key := ""
	for k, r := range rows {
		switch {
		case r.key == "" || len(starts) == 0 && count[r.key] < fewestCards:
		case key == "":
			key, starts = r.key, append(starts, k)
		case r.key == key:
			starts = append(starts, k)
		}
	}
	return starts
}

// areCards reports whether the cards have the same names, and enough of them,
// so that chance is not a likely cause: most names of most cards are those of
// others, and three are known or written with a colon.
func (f *finder) areCards(rows []cardRow, starts []int) bool {
	on := map[string]int{} // cards that have the name
	all, known := 0, 0
	for n, from := range starts {
		seen := map[string]bool{}
		for _, r := range rows[from:end(rows, starts, n)] {
			for _, p := range r.pairs {
				if k := fold(p.Name); k != "" && !seen[k] {
					seen[k] = true
					on[k]++
					all++
				}
			}
		}
	}
	usual := 0
	for k, n := range on {
		if n*2 < len(starts) {
			continue
		}
		usual += n
		if f.named(k) || f.colon(rows[starts[0]:starts[1]], k) {
			known++
		}
	}
	first := rows[starts[0]].pairs[0].Cell.Column
	for _, k := range starts {
		if rows[k].pairs[0].Cell.Column != first {
			return false
		}
	}
	return len(on) <= maxNames && known >= fewestNames && usual*5 >= all*4
}

// colon reports whether a name is written with one.
func (f *finder) colon(rows []cardRow, name string) bool {
	for _, r := range rows {
		for _, c := range f.grid.filled(r.at, f.grid.all) {
			cell := f.grid.cell(r.at, c)
			if isName(cell) && slices.ContainsFunc(severalPairs(cell.Text), func(p pair) bool { return fold(p.name) == name }) {
				return true
			}
		}
	}
	return false
}

func end(rows []cardRow, starts []int, n int) int {
	if n+1 < len(starts) {
		return starts[n+1]
	}
	return len(rows)
}

// cardRemark is the name of a line on a card that has none.
const cardRemark = "remark"

// cardTable makes the table. A line on a card that has no name is a remark.
func (f *finder) cardTable(rows []cardRow, starts []int) *record.Table {
	g := f.grid
	lead := rows[starts[0]].pairs[0]
	t := &record.Table{File: g.file, Sheet: g.name, HeadingRows: []int{lead.Cell.Row},
		Columns: []record.Column{{Heading: lead.Name, Parts: []string{lead.Name}, Number: lead.Cell.Column}}}
	for _, r := range rows[:starts[0]] {
		for _, p := range f.line(r.at, g.all, true) {
			t.Labels = append(t.Labels, p.Label)
		}
	}
	var names []string
	said := map[string]bool{}
	for n, from := range starts {
		taken := map[string]int{nameKey(lead.Name): 1}
		row := record.TableRow{Number: rows[from].pairs[0].Cell.Row, Cells: []record.Cell{rows[from].pairs[0].Cell}}
		for k, r := range rows[from:end(rows, starts, n)] {
			for i, p := range r.pairs {
				if !said[p.Name] && p.Name != "" {
					said[p.Name] = true
					names = append(names, p.Name)
				}
				if k > 0 || i > 0 {
					if p.Name == "" {
						p.Name = cardRemark
					}
					p.Name = numbered(taken, p.Name)
					row.Labels = append(row.Labels, p)
				}
			}
		}
		t.Rows = append(t.Rows, row)
	}
	last := rows[len(rows)-1]
	t.Rectangle = record.Rectangle{Top: lead.Cell.Row, Left: g.all.from + 1, Bottom: g.rows[last.at].Number, Right: g.all.to}
	f.note("cards-read", record.Address{}, strings.Join(names, " | "), "the same names repeat, each with its value; %s were read as one capture each", counted(len(starts), "card"))
	return t
}

// numbered returns a name that no other on the card is taken for: a further one of
// a name has a number.
func numbered(taken map[string]int, name string) string {
	key := nameKey(name)
	if taken[key]++; taken[key] > 1 {
		return numbered(taken, fmt.Sprintf("%s #%d", name, taken[key]))
	}
	return name
}

// nameKey is what names have in common that a mapping may take for each other: their
// letters and digits.
func nameKey(name string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) }), " ")
}
