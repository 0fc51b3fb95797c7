package withhold

import (
	"iter"
	"maps"
	"slices"

	"spadefoot/pipeline/record"
)

// own finds the rows and cells of the hidden captures. A cell above a table or
// a section belongs to every row below it, and is hidden with any of them. Of
// tables without rows the cells of findings, and those that were asked for, are
// looked for among those that captures were read from.
func (r *Hiding) own(tables []*record.Table, captures []*record.Capture, fs []record.Finding) {
	of := map[rowOf][]*record.Capture{}
	for _, c := range captures {
		k := rowOf{c.File, c.Sheet, c.Table, 0}
		of[k] = append(of[k], c)
	}
	var wanted map[record.Address]bool
	for _, t := range tables {
		list := of[rowOf{t.File, t.Sheet, t.Index, 0}]
		if len(t.Rows) == 0 && len(list) > 0 {
			if wanted == nil {
				wanted = r.wanted(fs)
			}
			r.ownBare(t, list, wanted)
			continue
		}
		next := 0
		for i := range t.Rows {
			row := &t.Rows[i]
			for next < len(list) && list[next].Row <= row.Number {
				next++
			}
			var h *Hidden
			if next > 0 {
				h = r.part.of[list[next-1]]
			}
			r.ownRow(t, row, h)
		}
	}
}

// wanted are the cells that are looked for where tables have no rows.
func (r *Hiding) wanted(fs []record.Finding) map[record.Address]bool {
	out := maps.Clone(r.want)
	for i := range fs {
		out[fs[i].At] = true
		for _, at := range fs[i].Also {
			out[at] = true
		}
	}
	return out
}

// ownBare finds wanted cells of captures of a table without rows.
func (r *Hiding) ownBare(t *record.Table, captures []*record.Capture, wanted map[record.Address]bool) {
	inRow := map[int][]record.Address{}
	for at := range wanted {
		if at.File == t.File && at.Sheet == t.Sheet {
			inRow[at.Row] = append(inRow[at.Row], at)
		}
	}
	for _, c := range captures {
		h := r.part.of[c]
		if h != nil {
			r.ownSheet(t, h)
			r.part.rows[rowOf{t.File, t.Sheet, t.Index, 0}] = h
		}
		if len(inRow) == 0 {
			continue
		}
		row := 0
		for at := range readFrom(c) {
			if at.Row != row && !t.Transposed {
				row = at.Row
				if row >= c.Row {
					r.takeAll(t, inRow[row], h)
				}
			}
			if wanted[at] {
				r.take(t, at, h)
			}
		}
		if !t.Transposed {
			r.takeAll(t, inRow[c.Row], h)
		}
	}
}

func (r *Hiding) takeAll(t *record.Table, cells []record.Address, h *Hidden) {
	for _, at := range cells {
		r.take(t, at, h)
	}
}

// take notes a cell of a table without rows.
func (r *Hiding) take(t *record.Table, at record.Address, h *Hidden) {
	r.part.tables[at] = true
	if h == nil || at.Row == 0 {
		return
	}
	number := at.Column
	if t.Transposed {
		number = at.Row
	}
	r.part.cells[at] = h
	if i := slices.IndexFunc(t.Columns, func(c record.Column) bool { return c.Number == number && at.Row >= h.Capture.Row }); i >= 0 {
		r.part.columns[at] = &t.Columns[i]
	}
}

// readFrom returns the cells of its own sheet that a capture was read from.
func readFrom(c *record.Capture) iter.Seq[record.Address] {
	return func(yield func(record.Address) bool) {
		give := func(at record.Address) bool {
			return at.Row == 0 || at.File != c.File || at.Sheet != c.Sheet || yield(at)
		}
		for i := range c.Values {
			if !give(c.Values[i].From()) {
				return
			}
		}
		for i := range c.Readings {
			if !give(c.Readings[i].From()) {
				return
			}
		}
		for i := range c.Extras {
			if !give(c.Extras[i].From) {
				return
			}
		}
	}
}

// ownRow notes the cells of one row, hidden with h unless that is nil.
func (r *Hiding) ownRow(t *record.Table, row *record.TableRow, h *Hidden) {
	take := func(at record.Address, column *record.Column) {
		r.part.tables[at] = true
		if h != nil && at.Row > 0 {
			r.part.cells[at], r.part.columns[at] = h, column
		}
	}
	for k, c := range row.Cells {
		take(t.Address(c), &t.Columns[k])
	}
	if !t.Transposed {
		take(record.Address{File: t.File, Sheet: t.Sheet, Row: row.Number}, nil)
	}
	if h == nil {
		return
	}
	r.part.rows[rowOf{t.File, t.Sheet, t.Index, row.Number}] = h
	for _, labels := range [][]record.Label{row.Labels, t.Labels} {
		for _, l := range labels {
			if at := t.Address(l.Cell); r.part.cells[at] == nil {
				take(at, nil)
			}
		}
	}
	r.ownSheet(t, h)
}

// ownSheet notes the words that tell the place of a hidden capture around its
// table.
func (r *Hiding) ownSheet(t *record.Table, h *Hidden) {
	sheet := record.Address{File: t.File, Sheet: t.Sheet}
	if r.around[sheet] == nil {
		r.around[sheet] = &secret{words: map[string]bool{}}
	}
	for w := range h.secret.words {
		r.around[sheet].words[w] = true
	}
}

// owner is the hidden capture that a cell is of, with the cell's column.
func (r *Hiding) owner(at record.Address) (*Hidden, *record.Column) {
	if r == nil {
		return nil, nil
	}
	for _, o := range []*owned{&r.part, &r.kept} {
		if h := o.cells[at]; h != nil {
			return h, o.columns[at]
		}
	}
	return nil, nil
}

// Owns reports whether a cell is of a hidden capture.
func (r *Hiding) Owns(at record.Address) bool {
	h, _ := r.owner(at)
	return h != nil
}

// Renamed reports whether the key of the capture that a cell is of was withheld.
func (r *Hiding) Renamed(at record.Address) bool {
	h, _ := r.owner(at)
	return h != nil && h.Key != h.Capture.Key
}

// Veils reports whether the text of a cell was hidden.
func (r *Hiding) Veils(at record.Address) bool {
	return r.Owns(at) && (r.part.veiled[at] || r.kept.veiled[at])
}

// Veiled returns a text of a cell, or Veil where it may tell the place.
func (r *Hiding) Veiled(at record.Address, text string) string {
	h, col := r.owner(at)
	if h == nil || text == "" {
		return text
	}
	if col == nil || h.tells(col, text) {
		return Veil
	}
	return text
}

// KeyAt returns the key of the hidden capture that a cell is of, as published.
func (r *Hiding) KeyAt(at record.Address) string {
	if h, _ := r.owner(at); h != nil {
		return h.Capture.Key
	}
	return ""
}
