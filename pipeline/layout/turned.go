package layout

import (
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

const (
	maxTurnedRows  = 500 // filled rows of a sheet in which animals may stand as columns
	maxNameColumns = 4   // columns from the left in which the names may stand
	leastKnown     = 3   // known headings down a column that are no chance
)

// turn returns the grid with rows and columns exchanged. Every cell keeps the
// row and column of the sheet that it is in. A row that is left out is
// blank.
func (g *grid) turn() *grid {
	s := record.Sheet{File: g.file, Name: g.name}
	for c := g.all.from; c < g.all.to; c++ {
		r := record.Row{Number: c + 1, Cells: make([]record.Cell, len(g.rows))}
		for i := range g.rows {
			r.Cells[i] = record.Cell{Row: g.rows[i].Number, Column: c + 1}
			if c < len(g.rows[i].Cells) && !g.looks[i].skip {
				r.Cells[i] = g.rows[i].Cells[c]
			}
		}
		s.Rows = append(s.Rows, r)
	}
	return newGrid(s, Options{})
}

// isTurned decides whether animals stand as columns:
//
//	No        1     2     3
//	Species   Rana  Rana  Bufo
//	Sex       F     M     F
//	SVL  mm   61    58    88
//
// A sheet with a row of known headings is not turned. Otherwise it is if a
// column near the left, the first filled one in most rows, holds at least
// three known headings, rarely any of them twice unless all of them come again
// (bands of animals under one another); or, where no heading is known, if every row holds one kind of value across and the columns do not.
func (f *finder) isTurned() bool {
	g := f.grid
	if f.o.Transposed != nil {
		return *f.o.Transposed
	}
	if f.o.Plain || f.o.HeadingRow > 0 || g.all.to-g.all.from < 2 {
		return false
	}
	var rows []int
	for i := g.below(-1, len(g.rows)); i >= 0; i = g.below(i, len(g.rows)) {
		if rows = append(rows, i); len(rows) > maxTurnedRows {
			return false
		}
	}
	for _, known := range []func(string) bool{f.o.IsHeading, f.usual} {
		if known == nil {
			continue
		}
		f.judgeBy(known)
		headed, upright := f.headed(rows)
		if upright {
			return false
		}
		if f.namesDown(rows, headed) {
			return true
		}
	}
	return f.looksTurned(rows)
}

// headed looks for rows of known headings. upright says that the sheet is the
// right way up: such a row has three headings and is not a narrow one, or nothing
// above it begins with a known heading. headed says that there is one at all
// ("Notes, fat" may be one by chance).
func (f *finder) headed(rows []int) (headed, upright bool) {
	g := f.grid
	widest := int32(0)
	for _, i := range rows {
		widest = max(widest, g.looks[i].filled)
	}
	named := false
	for k, i := range rows {
		l := &g.looks[i]
		if k < len(rows)-1 && f.isKnown(i) && !f.numbers(i) && !f.repeatsValues(i) { // the last row is over nothing
			headed = true
			if !named || l.filled > 2 && l.filled*5 >= widest*3 {
				return true, true
			}
		}
		named = named || l.firstKind == word && f.knows(g.cell(i, int(l.first)).Text)
	}
	return headed, false
}

// numbers reports whether a row numbers what stands in its columns: "Frog 1", "Frog
// 2", "Frog 3" are animals, and not three headings.
func (f *finder) numbers(i int) bool {
	g := f.grid
	cols := g.filled(i, g.all)
	if int(g.looks[i].first) == g.all.from && len(cols) > 0 {
		cols = cols[1:] // over the names
	}
	seen := map[string]bool{}
	for _, c := range cols {
		before, text := lineBefore(g.text(i, c)), fold(g.text(i, c))
		if before == "" || before != lineBefore(g.text(i, cols[0])) || seen[text] {
			return false
		}
		seen[text] = true
	}
	return len(cols) > 1
}

// repeatsValues reports whether a row says the same again and again behind its first
// cell: "Sex", "M", "F", "M" are the sexes of animals, though M may head a mass, and
// "Parasites", "mites", "mites", "ticks", "mites" are what they had. The headings of
// tables side by side come again as well, but in the same order.
func (f *finder) repeatsValues(i int) bool {
	g := f.grid
	cols := g.filled(i, g.all)
	var texts []string
	seen, codes := map[string]bool{}, true
	for _, c := range cols {
		text := strings.TrimSpace(g.text(i, c))
		if len(texts) > 0 {
			seen[text] = true
			codes = codes && utf8.RuneCountInString(text) <= 2
		}
		texts = append(texts, text)
	}
	behind := texts[min(1, len(texts)):]
	if codes {
		return len(seen) < len(behind)
	}
	return 2*len(seen) <= len(behind) && (len(seen) == 1 || !inBands(behind, len(seen)) && !inBands(texts, len(seen)))
}

// namesDown looks for a column of known headings. In a sheet that has a row of
// them too, all rows have to begin with one.
func (f *finder) namesDown(rows []int, headed bool) bool {
	g := f.grid
	for c := g.all.from; c < min(g.all.to, g.all.from+maxNameColumns); c++ {
		seen := map[string]bool{}
		var names []string
		leading, widest, widestOther := 0, int32(0), int32(0)
		for _, i := range rows {
			cell := g.cell(i, c)
			text := cell.Text
			if p, ok := nameValue(text); ok && p.value == "" {
				text = p.name
			}
			if kindOf(cell) != word || !f.knows(text) {
				widestOther = max(widestOther, g.looks[i].filled)
				continue
			}
			names = append(names, fold(text))
			seen[fold(text)] = true
			widest = max(widest, g.looks[i].filled)
			if int(g.looks[i].first) == c {
				leading++
			}
		}
		least := (len(rows) + 1) / 2
		if headed {
			least = len(rows)
		}
		known := len(names)
		if len(seen) >= 3 && (known <= 3*len(seen) || inBands(names, len(seen))) && leading*5 >= known*4 && widest >= 2 && widest >= widestOther && known >= least {
			return true
		}
	}
	return false
}

// inBands reports whether the same n names come again and again in one order.
func inBands(names []string, n int) bool {
	for i, name := range names {
		if name != names[i%n] {
			return false
		}
	}
	return true
}

// looksTurned judges by shape: at least four columns; distinct words first in
// every row; values of one kind across each row, numbers in two rows at least, and
// words in one or some known headings first; columns that mix the two.
func (f *finder) looksTurned(rows []int) bool {
	g := f.grid
	if len(rows) < 3 || g.all.to-g.all.from < 4 {
		return false
	}
	seen := map[string]bool{}
	column := g.looks[rows[0]].first
	numbers, texts, wide, known := 0, 0, 0, 0
	for _, i := range rows {
		l := &g.looks[i]
		k := fold(g.text(i, int(l.first)))
		if l.first != column || l.firstKind != word || seen[k] {
			return false
		}
		seen[k] = true
		if f.knows(g.text(i, int(l.first))) {
			known++
		}
		if l.filled == 1 {
			continue
		}
		if l.filled >= 4 {
			wide++
		}
		words := l.words - 1
		switch others := l.filled - 1; {
		case l.values == others:
			numbers++
		case words == others:
			texts++
		case l.values*4 < others*3 && words*4 < others*3:
			return false // words and numbers mixed across
		}
	}
	// Numbers under a row of words are a table the right way up.
	headed := g.looks[rows[0]].words == g.looks[rows[0]].filled && texts == 1
	return numbers >= 2 && (texts >= 1 || known >= leastKnown) && wide*3 >= len(rows)*2 && !headed
}
