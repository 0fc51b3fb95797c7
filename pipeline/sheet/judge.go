package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// judge adds the findings that concern a tab as a whole.
func (g *grid) judge(s record.Sheet, fills map[string][]record.Address) {
	if len(s.Rows) == 0 {
		return
	}
	tab := g.at(0, 0)
	if g.hidden {
		g.found = append(g.found, record.Finding{Rule: ruleTabHidden, Level: record.Note, At: tab, Value: g.name,
			Reason: "the tab is hidden in the workbook; it was read"})
	}
	var hidden []int
	for _, r := range s.Rows {
		if r.Hidden && len(r.Cells) > 0 {
			hidden = append(hidden, r.Number)
		}
	}
	if len(hidden) > 0 {
		g.many(ruleRowsHidden, record.Note, g.places(hidden, func(n int) record.Address { return g.at(n, 0) }), "",
			fmt.Sprintf("%s of this tab %s hidden and %s read: %s", record.Plural(len(hidden), "row"), verb(len(hidden), "is", "are"), verb(len(hidden), "was", "were"), spans(hidden, func(n int) string { return fmt.Sprint(n) })))
	}
	if cols := g.hiddenColumns(s); len(cols) > 0 {
		g.many(ruleColsHidden, record.Note, g.places(cols, func(n int) record.Address { return g.at(0, n) }), "",
			fmt.Sprintf("%s of this tab %s hidden and %s read: %s", record.Plural(len(cols), "column"), verb(len(cols), "is", "are"), verb(len(cols), "was", "were"), spans(cols, record.ColumnLetters)))
	}
	for _, colour := range slices.Sorted(maps.Keys(fills)) {
		at := fills[colour]
		g.many(ruleFill, record.Note, at, colour, fmt.Sprintf("%s of this tab %s filled with the colour %s, whose meaning is unknown", record.Plural(len(at), "cell"), verb(len(at), "is", "are"), colour))
	}
	if n := len(g.yearless); n > 0 {
		sorting.Func(g.yearless, record.Address.Compare)
		g.many(ruleYearUnshown, record.Warning, g.yearless, "", fmt.Sprintf("%s of this tab %s shown without a year; the year in the text is the one that the workbook stores", record.Plural(n, "date"), verb(n, "is", "are")))
	}
	g.covered(s)
}

// many makes one finding of one cause in many places.
func (g *grid) many(rule string, level record.Level, at []record.Address, value, reason string) {
	g.found = append(g.found, record.Finding{Rule: rule, Level: level, At: at[0], Value: value, Reason: reason,
		Also: at[1:min(len(at), maxAlso+1)], Figures: []record.Figure{{Name: "count", Value: float64(len(at))}}})
}

func (g *grid) places(ns []int, at func(int) record.Address) []record.Address {
	out := make([]record.Address, len(ns))
	for i, n := range ns {
		out[i] = at(n)
	}
	return out
}

// hiddenColumns returns the hidden columns that hold something.
func (g *grid) hiddenColumns(s record.Sheet) []int {
	used := map[int]bool{}
	for _, r := range s.Rows {
		for _, c := range r.Cells {
			if c.Text != "" && g.hiddenCols[c.Column] {
				used[c.Column] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(used))
}

// covered looks for values that lie under a merged cell.
func (g *grid) covered(s record.Sheet) {
	for _, m := range g.merges {
		i, _ := slices.BinarySearchFunc(s.Rows, m.Top, func(r record.Row, n int) int { return r.Number - n })
		for ; i < len(s.Rows) && s.Rows[i].Number <= m.Bottom; i++ {
			cells := s.Rows[i].Cells
			for col := m.Left; col <= min(m.Right, len(cells)); col++ {
				c := cells[col-1]
				if c.Text == "" || c.Row == m.Top && c.Column == m.Left {
					continue
				}
				g.find(ruleMerge, record.Warning, c, c.Text, fmt.Sprintf("the cell is hidden under the merged cell %s%d but holds a value",
					record.ColumnLetters(m.Left), m.Top))
			}
		}
	}
}

// verb returns the form of a verb for one thing, or for several.
func verb(n int, one, several string) string {
	if n == 1 {
		return one
	}
	return several
}

// spans writes ascending numbers as "3-5, 9", at most a dozen pieces.
func spans(ns []int, name func(int) string) string {
	var out []string
	for i := 0; i < len(ns); {
		j := i
		for j+1 < len(ns) && ns[j+1] == ns[j]+1 {
			j++
		}
		piece := name(ns[i])
		if j > i {
			piece += "-" + name(ns[j])
		}
		if len(out) == 12 {
			out = append(out, "...")
			break
		}
		out = append(out, piece)
		i = j + 1
	}
	return strings.Join(out, ", ")
}
