package layout

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/record"
)

// spread gives the value of a merged cell to all rows that it covers:
//
//	Date    No  SVL
//	3 May   1   61
//	        2   58     the date's cell reaches down to here
//	4 May   3   64
//
// Of a merged cell that covers several columns too, only the first of them has
// the value. In a table whose animals stand as columns the two are exchanged.
// The covered cells keep their places and are marked as carried.
func (b *body) spread() {
	for _, m := range b.f.sheet.Merges {
		from, to, across := m.Top, m.Bottom, m.Left
		if b.table.Transposed {
			from, to, across = m.Left, m.Right, m.Top
		}
		if to == from {
			continue
		}
		k := slices.IndexFunc(b.table.Columns, func(c record.Column) bool { return c.Number == across })
		rows := b.table.Rows
		i, is := slices.BinarySearchFunc(rows, from, func(r record.TableRow, n int) int { return cmp.Compare(r.Number, n) })
		if k < 0 || !is || rows[i].Cells[k].Empty() {
			continue // a heading, or a line that belongs to no capture
		}
		first, n := rows[i].Cells[k], 0
		for i++; i < len(rows) && rows[i].Number <= to; i++ {
			if row := &rows[i]; row.Cells[k].Empty() {
				row.Cells = slices.Clone(row.Cells)
				row.Cells[k].Carry(first)
				n++
			}
		}
		if n > 0 {
			b.noteMerged(k, first, n)
		}
	}
	b.reportMerged()
}

// noteMerged counts what the merged cells of one column gave.
func (b *body) noteMerged(k int, first record.Cell, n int) {
	if b.merged == nil {
		b.merged = map[int]*mergedCount{}
	}
	m := b.merged[k]
	if m == nil {
		m = &mergedCount{first: first}
		b.merged[k] = m
	} else if len(m.also) < maxAlso {
		m.also = append(m.also, b.f.at(&first))
	}
	m.cells += n
}

// mergedCount is what the merged cells of one column come to.
type mergedCount struct {
	first record.Cell
	also  []record.Address
	cells int
}

// reportMerged says once a column what merged cells gave.
func (b *body) reportMerged() {
	for k := range b.table.Columns {
		if m := b.merged[k]; m != nil {
			heading := b.table.Columns[k].Heading
			b.f.find(record.Finding{Rule: "merged-read", Level: record.Note, At: b.f.at(&m.first), Also: m.also, Field: heading, Value: m.first.Text,
				Reason: "under \"" + heading + "\" merged cells apply to all the rows they cover; " + counted(m.cells, "blank cell") + wasOrWere(m.cells) + " filled"})
		}
	}
}

func wasOrWere(n int) string {
	if n == 1 {
		return " was"
	}
	return " were"
}
