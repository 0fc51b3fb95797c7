package normalise

import (
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// keep ends the reading of a row: what was written in a cell and has come to no
// value, no reading and no part of a weighing goes to the extras, under its
// heading, and with them into dynamicProperties. So it is with the second
// column of a term that holds one text only, and with whatever a reader of
// values does not hold.
func (r *row) keep() {
	r.capture.Cells = r.slab.cells(r.cells, r.table.Columns)
	r.hold()
	r.keepNamed()
	for i := range r.cells {
		c := &r.cells[i]
		col := &r.table.Columns[i]
		if r.held[i] || col.Meaning.Role == record.SetAside || col.Meaning.Role == record.Unmatched {
			continue
		}
		if text := c.Verbatim(); !quantity.Blank(text) && !r.standsIn(i, text) {
			r.capture.Extras = append(r.capture.Extras, record.Extra{Heading: heading(*col), Text: text, From: r.at(c)})
		}
	}
}

// keepNamed keeps what a row of a table with one row per measurement says that is
// no measurement, under the name that stands beside it: "colour: brown".
func (r *row) keepNamed() {
	name := r.columns.name
	if name < 0 || r.measured() || quantity.Mark(r.cells[name].Verbatim()) {
		return
	}
	for _, i := range r.columns.values {
		if c := &r.cells[i]; !quantity.Mark(c.Verbatim()) {
			r.capture.Extras = append(r.capture.Extras, record.Extra{Heading: squeezed(r.cells[name].Verbatim()), Text: c.Verbatim(), From: r.at(c)})
			r.held[name], r.held[i] = true, true
			return
		}
	}
}

// hold notes which cells stand in the capture as they were written.
func (r *row) hold() {
	if len(r.held) != len(r.cells) {
		r.held = make([]bool, len(r.cells))
	}
	clear(r.held)
	for i := range r.values {
		if v := &r.values[i]; v.Verbatim != "" {
			r.holds(int(v.Row), &v.Column, v.Verbatim)
		}
	}
	for i := range r.readings {
		v := &r.readings[i]
		r.holds(int(v.Row), &v.Column, v.Verbatim)
	}
	w := r.capture.Weighing
	if w == nil {
		return
	}
	for p := range w.Readings() {
		r.holds(int(p.Row), &p.Column, p.Verbatim)
	}
	r.holds(w.Bag.Row, &w.Bag, w.BagLabel)
}

// holds notes that a text stands in the capture that was written in a row of a column.
func (r *row) holds(row int, column *record.Address, text string) {
	if text == "" || row == 0 || column.File != r.table.File {
		return
	}
	i := r.cellAt(row, column.Column)
	if i < 0 || r.held[i] {
		return
	}
	written := r.cells[i].Verbatim()
	r.held[i] = written == text || strings.TrimSpace(written) == strings.TrimSpace(text)
}

// cellAt returns the column of the cell in a row and a column of the sheet, or -1.
func (r *row) cellAt(row, column int) int {
	is := func(i int) bool { return r.cells[i].Row == row && r.cells[i].Column == column }
	if column < len(r.plan.numbered) {
		if i := r.plan.numbered[column]; i >= 0 && i < len(r.cells) && is(i) {
			return i
		}
	}
	for i := range r.cells {
		if is(i) {
			return i
		}
	}
	return -1
}

// standsIn reports whether the text of column i is one of those that its term
// was joined from, or says something that is published with a measurement: its
// name, its unit, the name of the scale.
func (r *row) standsIn(i int, text string) bool {
	col := r.plan.columns[i]
	text = strings.TrimSpace(text)
	switch col.Meaning.Role {
	case record.Term:
		v := r.value(col.slot)
		return v != nil && (among(v.Verbatim, text) || among(v.Text, text))
	case record.WeighPart:
		return col.Meaning.Part == record.Scale && r.weighedOn(text)
	case record.NameColumn:
		return r.measured()
	case record.UnitColumn:
		_, known := quantity.FindUnit(text)
		return known && r.measured()
	}
	return false
}

// measured reports whether what the row names came to a measurement, whose type
// and unit then say what its columns of names and units do.
func (r *row) measured() bool {
	if r.columns.name < 0 {
		return false
	}
	for _, v := range r.columns.values {
		at := r.at(&r.cells[v])
		for i := range r.readings {
			if r.readings[i].From() == at {
				return true
			}
		}
		for p := range r.capture.Weighing.Readings() {
			if p.From() == at {
				return true
			}
		}
	}
	return false
}

// weighedOn reports whether a mass was read on the scale of this name, which is
// published with it.
func (r *row) weighedOn(scale string) bool {
	w := r.capture.Weighing
	if w == nil || w.Scale != scale {
		return false
	}
	for p := range w.Readings() {
		if p.Instrument == scale && p.State != record.Missing && p.State != record.Unread {
			return true
		}
	}
	return false
}

// among reports whether a text is one of a list of joined texts.
func among(list, text string) bool {
	for list != "" {
		i := strings.Index(list, text)
		if i < 0 {
			return false
		}
		before, after := strings.TrimRight(list[:i], " "), strings.TrimLeft(list[i+len(text):], " ")
		if (before == "" || strings.HasSuffix(before, "|")) && (after == "" || strings.HasPrefix(after, "|")) {
			return true
		}
		list = list[i+max(len(text), 1):]
	}
	return false
}

// number notes the columns by their number in the sheet.
func (p *plan) number(t *record.Table) {
	for i := range t.Columns {
		for n := t.Columns[i].Number; n >= len(p.numbered); {
			p.numbered = append(p.numbered, -1)
		}
		if n := t.Columns[i].Number; n >= 0 && p.numbered[n] < 0 {
			p.numbered[n] = i
		}
	}
}
