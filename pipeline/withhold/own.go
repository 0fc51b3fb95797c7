package withhold

import (
	"spadefoot/pipeline/record"
)

// own finds the rows and cells of the hidden captures. A cell above a table or
// a section belongs to every row below it, and is hidden with any of them.
func (r *Result) own(tables []*record.Table, captures []*record.Capture) {
	of := map[rowOf][]*record.Capture{}
	for _, c := range captures {
		k := rowOf{c.File, c.Sheet, c.Table, 0}
		of[k] = append(of[k], c)
	}
	for _, t := range tables {
		list := of[rowOf{t.File, t.Sheet, t.Index, 0}]
		next := 0
		for i := range t.Rows {
			row := &t.Rows[i]
			for next < len(list) && list[next].Row <= row.Number {
				next++
			}
			var h *Hidden
			if next > 0 {
				h = r.of[list[next-1]]
			}
			r.ownRow(t, row, h)
		}
	}
}

// ownRow notes the cells of one row, hidden with h unless that is nil.
func (r *Result) ownRow(t *record.Table, row *record.TableRow, h *Hidden) {
	take := func(at record.Address, column *record.Column) {
		r.tables[at] = true
		if h != nil && at.Row > 0 {
			r.cells[at], r.columns[at] = h, column
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
	r.rows[rowOf{t.File, t.Sheet, t.Index, row.Number}] = h
	for _, labels := range [][]record.Label{row.Labels, t.Labels} {
		for _, l := range labels {
			if at := t.Address(l.Cell); r.cells[at] == nil {
				take(at, nil)
			}
		}
	}
	sheet := record.Address{File: t.File, Sheet: t.Sheet}
	if r.around[sheet] == nil {
		r.around[sheet] = &secret{words: map[string]bool{}}
	}
	for w := range h.secret.words {
		r.around[sheet].words[w] = true
	}
}

// Owns reports whether a cell is of a hidden capture.
func (r *Result) Owns(at record.Address) bool { return r != nil && r.cells[at] != nil }

// Hides reports whether the place of a capture is withheld.
func (r *Result) Hides(c *record.Capture) bool {
	return r != nil && r.of[c] != nil
}

// Renamed reports whether the key of a capture was withheld.
func (r *Result) Renamed(c *record.Capture) bool { return r.Hides(c) && r.of[c].Key != c.Key }

// Veils reports whether the text of a cell was hidden.
func (r *Result) Veils(at record.Address) bool { return r.Owns(at) && r.veiled[at] }

// Veiled gives a text of a cell, or Veil where it may tell the place.
func (r *Result) Veiled(at record.Address, text string) string {
	if !r.Owns(at) || text == "" {
		return text
	}
	if col := r.columns[at]; col == nil || r.cells[at].tells(col, text) {
		return Veil
	}
	return text
}

// KeyAt gives the key of the hidden capture that a cell is of, as published.
func (r *Result) KeyAt(at record.Address) string {
	if !r.Owns(at) {
		return ""
	}
	return r.cells[at].Capture.Key
}
