package layout

import (
	"strings"

	"spadefoot/pipeline/record"
)

// isAside says whether columns under no heading hold words only.
func (f *finder) isAside(h head, s span, end int) bool {
	if s.to-s.from < 2 {
		return false
	}
	for i := h.first; i <= h.last; i++ {
		if n, _ := f.grid.count(i, s); n > 0 && i != h.units && i != h.main {
			return false
		}
	}
	if n, _ := f.grid.count(h.main, s); n > 0 {
		return false
	}
	words, others := 0, 0
	for i := h.last + 1; i < end; i++ {
		l := &f.grid.looks[i]
		for c := max(s.from, int(l.first)); l.filled > 0 && c < s.to && c <= int(l.last); c++ {
			switch kindOf(f.grid.cell(i, c)) {
			case blank:
			case word:
				words++
			default:
				others++
			}
		}
	}
	return words > others
}

// joinAside joins boxes that are next to each other.
func joinAside(parts []part) []part {
	out := parts[:0:0]
	for _, p := range parts {
		if n := len(out); p.aside && n > 0 && out[n-1].aside {
			out[n-1].to = p.to
			continue
		}
		out = append(out, p)
	}
	return out
}

// leaveAside leaves out a box beside a table, row by row.
func (f *finder) leaveAside(h head, s span, end int) {
	for i := h.first; i < end; i++ {
		if n, _ := f.grid.count(i, s); n > 0 && !f.grid.looks[i].again {
			at := f.place(i)
			f.note("box-beside", at, f.grid.written(i, s), "beside the table without a heading; it was read but not used")
		}
	}
}

// isOther says whether the headings of a row, in a span of columns, are those of a
// table that holds no captures.
func (f *finder) isOther(i int, s span) bool {
	if f.o.IsOther == nil || f.turned || f.o.stated() {
		return false
	}
	var texts []string
	for _, c := range f.grid.filled(i, s) {
		texts = append(texts, f.grid.text(i, c))
	}
	return len(texts) > 1 && f.o.IsOther(texts)
}

// leaveOther leaves out such a table, with all that it says.
func (f *finder) leaveOther(from int, s span, end int) {
	text, first := f.allWritten(from, s, end)
	at := f.place(first)
	at.Column = s.from + 1
	f.note("table-of-checks", at, text, "a table of scale checks, not of captures; checks of the scales in survey.yaml go into the accuracy of masses")
}

// isTotals says whether a table counts what other tables hold: grand totals stand
// below its rows, and behind its columns or under nothing but sums of columns:
// "Count of Ring", "Average of Wing".
func (b *body) isTotals() bool {
	if !b.totals || b.f.o.stated() {
		return false
	}
	summed := 0
	for _, c := range b.table.Columns {
		if isGrand(c.Heading) {
			return true
		}
		if is, _ := isSummaryWord(c.Heading); is {
			summed++
		}
	}
	return summed > 0 && summed == len(b.table.Columns)-1
}

// leaveTotals leaves out such a table, with all that it says.
func (f *finder) leaveTotals(from int, s span, end int) {
	f.counted = true
	text, _ := f.allWritten(from, s, end)
	f.note("table-of-totals", record.Address{}, text, "a table of totals, not of captures")
}

// allWritten gives the texts of rows, one a line, and the first row that says anything.
func (f *finder) allWritten(from int, s span, end int) (text string, first int) {
	var lines []string
	first = -1
	for i := from; i < end; i++ {
		if n, _ := f.grid.count(i, s); n > 0 {
			if lines = append(lines, f.grid.written(i, s)); first < 0 {
				first = i
			}
		}
	}
	return strings.Join(lines, "\n"), first
}
