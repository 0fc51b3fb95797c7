package layout

import (
	"strconv"
	"strings"
	"unicode"

	"spadefoot/pipeline/record"
)

// columns fills the columns of a table from its heading rows. A column with
// neither heading nor value is left out. A name with its value that stands
// among the headings over a column without values is a label of the table;
// where animals stand as columns, so are the lines above and below them.
func (b *body) columns() {
	f, h := b.f, b.head
	group := make([]groupHeading, h.main-h.first)
	sub := ""
	for c := b.span.from; c < b.span.to; c++ {
		parts, said := b.headingOf(c, group, &sub)
		heading := strings.Join(said, " ")
		if !b.filled[c] && (heading == "" && !f.hasHeading(h, c) || b.isLabel(c)) || b.isLine(c) {
			continue
		}
		unit := ""
		if h.units >= 0 {
			unit = f.grid.cell(h.units, c).Text
		}
		if n := len(b.used); n > 0 && b.used[n-1] != c-1 {
			b.gaps = true
		}
		b.used = append(b.used, c)
		column := record.Column{Heading: heading, Parts: parts, Unit: unit, Number: f.number(c)}
		if f.said[h.last] {
			column.Says = strings.TrimSpace(f.grid.cell(h.last, c).Text)
		} else if said := strings.TrimSpace(f.grid.cell(h.main, c).Comment()); len(said) <= longestSaid {
			column.Says = said
		}
		b.table.Columns = append(b.table.Columns, column)
	}
	b.doubtHeadings()
}

// longestSaid is how long a comment on a heading may be that explains it.
const longestSaid = 80

// groupHeading is a heading over several columns, and the column behind the last that
// it is merged over, 0 where it is not merged.
type groupHeading struct {
	text string
	end  int
}

// groupAt returns the group heading in a cell.
func (f *finder) groupAt(i, c int) groupHeading {
	out := groupHeading{text: f.grid.text(i, c)}
	for _, m := range f.sheet.Merges {
		if !f.turned && m.Top == f.grid.rows[i].Number && m.Left == c+1 && m.Right > m.Left {
			out.end = m.Right
		}
	}
	return out
}

// headingOf returns the cells of the heading rows over a column and what they
// say together. A group heading is in its first column only and holds for those
// right of it as far as it is merged, or else up to the next group or a column without
// a heading; the same for a heading over sub-headings.
func (b *body) headingOf(c int, group []groupHeading, sub *string) (parts, said []string) {
	g, h := b.f.grid, b.head
	for i := h.first; i <= h.last; i++ {
		if i == h.units || b.f.said[i] {
			continue
		}
		if i < h.main && b.f.isTitle(i, h.main, c) {
			parts = append(parts, "")
			continue
		}
		text := g.text(i, c)
		parts = append(parts, g.cell(i, c).Text)
		bare := i < h.main && g.blank(h.main, c) && (h.sub < 0 || g.blank(h.sub, c))
		switch {
		case bare:
			group[i-h.first] = groupHeading{}
		case i < h.main && text != "":
			group[i-h.first] = b.f.groupAt(i, c)
			for k := i - h.first + 1; k < len(group); k++ {
				group[k] = groupHeading{} // a group within the group before
			}
		case i < h.main && group[i-h.first].end > 0 && c >= group[i-h.first].end:
		case i < h.main:
			text = group[i-h.first].text
		case i == h.main && text != "":
			*sub = text
		case i == h.main && h.sub >= 0 && !g.blank(h.sub, c):
			text = *sub
		}
		if text != "" {
			said = append(said, text)
		}
	}
	return parts, said
}

// isLabel takes the heading of a column without values for a label, if it is
// one.
func (b *body) isLabel(c int) bool {
	f, h := b.f, b.head
	cell := f.grid.cell(h.main, c)
	if p, ok := nameValue(cell.Text); ok && isName(cell) && p.value != "" && b.onlyMain(c) {
		for _, p := range severalPairs(cell.Text) {
			v := *cell
			v.Text, v.Kind = p.value, record.Text
			b.table.Labels = append(b.table.Labels, record.Label{Name: p.name, Cell: v})
		}
		return true
	}
	if f.turned && !f.o.stated() && kindOf(cell) == word && b.onlyMain(c) && !f.named(cell.Text) && b.atEdge(c) {
		b.table.Labels = append(b.table.Labels, record.Label{Cell: *cell})
		return true
	}
	return false
}

// isLine takes a column of a sheet with animals as columns for a line above
// the table: "Site: | Tern Slough" or, apart from the rest by a blank row,
// "Site | Tern Slough" has a value beside its name and no other, where there
// are two animals at least.
func (b *body) isLine(c int) bool {
	f, h := b.f, b.head
	if !f.turned || f.o.stated() && f.o.Transposed == nil || !b.filled[c] || !b.onlyMain(c) {
		return false
	}
	lead := b.span.from
	for lead < b.span.to && b.held(lead) < 2 {
		lead++
	}
	cell := f.grid.cell(h.main, c)
	p, colon := pair{}, false
	if isName(cell) {
		p, colon = nameValue(cell.Text)
	}
	gap := false
	for k := c; k < lead; k++ {
		gap = gap || !b.filled[k] && !f.hasHeading(h, k)
	}
	if c >= lead || lead == b.span.to || f.grid.blank(h.last+1, c) || !(colon && p.value == "" || gap && f.named(cell.Text)) {
		return false
	}
	if !colon {
		p.name = strings.TrimSpace(cell.Text)
	}
	b.table.Labels = append(b.table.Labels, record.Label{Name: p.name, Cell: *f.grid.cell(h.last+1, c)})
	return true
}

// held counts the rows under the headings that hold something in a column, up
// to two.
func (b *body) held(c int) int {
	n := 0
	for i := b.head.last + 1; i < b.end && n < 2; i++ {
		if !b.f.grid.blank(i, c) {
			n++
		}
	}
	return n
}

// onlyMain reports whether no other heading row says anything over a column.
func (b *body) onlyMain(c int) bool {
	for i := b.head.first; i <= b.head.last; i++ {
		if i != b.head.main && !b.f.grid.blank(i, c) {
			return false
		}
	}
	return !b.f.grid.blank(b.head.main, c)
}

// atEdge reports whether a column is before the first, or behind the last,
// that holds values.
func (b *body) atEdge(c int) bool {
	before, behind := true, true
	for i := b.span.from; i < b.span.to; i++ {
		if b.filled[i] {
			before = before && i > c
			behind = behind && i < c
		}
	}
	return before || behind
}

// doubtHeadings warns of headings that look like the rows under them.
func (b *body) doubtHeadings() {
	f, h := b.f, b.head
	if f.turned || f.o.stated() || h.main != h.first || len(b.table.Columns) == 0 {
		return
	}
	values := 0
	for _, c := range b.used {
		if cell := f.grid.cell(h.main, c); kindOf(cell) == value && !isYear(cell.Text) && hasLetter(cell.Text) == hasLetter(f.firstBelow(h.last, c)) {
			values++
		}
	}
	if values*2 < len(b.used) || values < 2 && len(b.used) > 1 {
		return
	}
	at := f.place(h.main)
	f.find(record.Finding{Rule: "heading-like-values", Level: record.Warning, At: at, Value: f.grid.written(h.main, b.span),
		Reason: "the row taken as the headings looks like a row of values"})
}

func hasLetter(text string) bool { return strings.ContainsFunc(text, unicode.IsLetter) }

// firstBelow returns the text of the row below a heading row, or "".
func (f *finder) firstBelow(last, c int) string {
	if i := f.grid.below(last, len(f.grid.rows)); i >= 0 {
		return f.grid.text(i, c)
	}
	return ""
}

// isYear knows the numbers that do appear over columns.
func isYear(text string) bool {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	return err == nil && n >= 1800 && n < 2200
}
