package layout

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

const widestLegend = 3 // columns of a tab that explains

// isLegendTab judges by the name of the tab, unless the mapping knows headings
// in it or survey.yaml says where they stand: a tab named so that is narrow or
// holds mostly words explains and records nothing. Nor does one of sentences.
func (f *finder) isLegendTab() bool {
	g := f.grid
	if f.mapped || f.o.stated() || !isLegend(g.name) {
		return !f.mapped && !f.o.stated() && f.isProse()
	}
	widest := int32(0)
	for i := range g.looks {
		widest = max(widest, g.looks[i].filled)
	}
	return widest <= widestLegend || g.valued*4 < g.valued+g.wordy
}

// isProse reports whether a tab holds lines of words, one below the other, and a
// sentence among them.
func (f *finder) isProse() bool {
	g := f.grid
	sentence := false
	for i := range g.looks {
		if l := &g.looks[i]; l.filled > 1 || l.values > 0 {
			return false
		} else if l.filled == 1 {
			sentence = sentence || isSentence(g.text(i, int(l.first)))
		}
	}
	return sentence && g.name != ""
}

// without reports a sheet without a table, with all of its text.
func (f *finder) without() {
	if len(f.out) > 0 || f.counted {
		return
	}
	g := f.grid
	var lines []string
	for i := range g.rows {
		if g.looks[i].filled > 0 {
			lines = append(lines, g.written(i, g.all))
		}
	}
	x := record.Finding{Rule: "sheet-without-table", Level: record.Warning, At: record.Address{File: g.file, Sheet: g.name}, Value: strings.Join(lines, "\n")}
	switch {
	case len(lines) == 0 && f.o.HeadingRow == 0:
		x.Reason = "nothing is written in it"
		x.Level = record.Note
	case f.o.HeadingRow > 0:
		x.Reason = fmt.Sprintf("row %d, given as the row of the headings, is empty", f.o.HeadingRow)
	case f.isLegendTab():
		x.Rule, x.Level = "sheet-legend", record.Note
		x.Reason = "the tab explains words and codes and holds no captures; it was read and not used"
	default:
		x.Reason = "no row of headings with values below it was found"
	}
	f.find(x)
}

// statedOut reports what survey.yaml leaves out.
func (f *finder) statedOut() {
	left, right := 0, 0
	for _, r := range f.sheet.Rows {
		f.leaveStated(r, &left, &right)
	}
	f.statedSides(left, right)
}

// leaveStated notes what survey.yaml leaves out of a row, and counts the cells
// left and right of the columns that it names. It reports whether the row stands
// above the last one.
func (f *finder) leaveStated(r record.Row, left, right *int) bool {
	o := &f.o
	at := record.Address{Row: r.Number}
	switch {
	case o.LastRow > 0 && r.Number > o.LastRow:
		f.stated(at, r, "it is below the last row given in survey.yaml")
		return false
	case f.skips(r.Number):
		f.stated(at, r, "survey.yaml leaves the row out")
		return true
	case o.FirstColumn <= 1 && o.LastColumn == 0:
		return true
	}
	for i := range r.Cells {
		if r.Cells[i].Empty() {
			continue
		}
		switch {
		case i < o.FirstColumn-1:
			*left++
		case o.LastColumn > 0 && i >= o.LastColumn:
			*right++
		}
	}
	return true
}

// skips reports whether survey.yaml leaves a row out.
func (f *finder) skips(row int) bool {
	return len(f.o.SkipRows) > 0 && slices.Contains(f.o.SkipRows, row)
}

// statedSides notes the cells left and right of the columns that survey.yaml
// names.
func (f *finder) statedSides(left, right int) {
	o := &f.o
	if left > 0 {
		f.note("left-out-stated", record.Address{Column: o.FirstColumn - 1}, "", "%s left of the first column given in survey.yaml", wereLeftOut(left))
	}
	if right > 0 {
		f.note("left-out-stated", record.Address{Column: o.LastColumn + 1}, "", "%s right of the last column given in survey.yaml", wereLeftOut(right))
	}
}

func wereLeftOut(n int) string {
	if n == 1 {
		return "1 cell was left out"
	}
	return counted(n, "cell") + " were left out"
}

func (f *finder) stated(at record.Address, r record.Row, reason string) {
	var parts []string
	for i := range r.Cells {
		if !r.Cells[i].Empty() {
			parts = append(parts, r.Cells[i].Text)
		}
	}
	if len(parts) > 0 {
		f.note("left-out-stated", at, strings.Join(parts, " | "), "%s", reason)
	}
}

// comments reports the comments that are fastened to cells that no row and no
// label of a table holds, such as headings.
func (f *finder) comments() {
	type place struct{ row, column int }
	held := map[place]bool(nil)
	g := f.grid
	for i := range g.looks {
		if !g.looks[i].comment {
			continue
		}
		if held == nil {
			held = map[place]bool{}
			f.eachHeld(func(c *record.Cell) {
				if c.Comment() != "" {
					held[place{c.Row, c.Column}] = true
				}
			})
		}
		for k := range g.rows[i].Cells {
			c := &g.rows[i].Cells[k]
			if c.Comment() != "" && k >= g.all.from && !held[place{c.Row, c.Column}] {
				f.note("comment-beside", f.at(c), c.Comment(), "the comment belongs to a cell outside the rows of a table, which holds %q", c.Text)
			}
		}
	}
}

// eachHeld visits every cell of the rows and labels of the tables.
func (f *finder) eachHeld(visit func(*record.Cell)) {
	for t := range f.out {
		for l := range f.out[t].Labels {
			visit(&f.out[t].Labels[l].Cell)
		}
		for r := range f.out[t].Rows {
			row := &f.out[t].Rows[r]
			for c := range row.Cells {
				visit(&row.Cells[c])
			}
			for l := range row.Labels {
				visit(&row.Labels[l].Cell)
			}
		}
	}
}
