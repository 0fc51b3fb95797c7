package remedy

import (
	"cmp"
	"fmt"

	"spadefoot/pipeline/record"
)

// drop is a capture that is left out.
type drop struct {
	a    *Applied
	done bool
}

// drop notes that the capture of a cell, or of a row, is left out, or says why it
// cannot be.
func (o *Outcome) drop(r *Remedy, at record.Address) (mismatch string) {
	c := o.search.cell(at)
	if len(c.rows) > 1 {
		return fmt.Sprintf("%s belongs to %d captures; give the row of the one to leave out", at, len(c.rows))
	}
	row := c.rows[0]
	if other := o.dropped[row]; other != nil {
		if other.a.Line == r.Line && other.a.Remedy.File == r.File {
			return ""
		}
		return fmt.Sprintf("leaves out %s, and so does %s, line %d; keep one of them", at, other.a.Remedy.File, other.a.Line)
	}
	a := &Applied{Remedy: *r, At: at, Field: c.field, Before: c.before, Rows: c.rows}
	a.Remedy.At = at
	a.Capture = cmp.Or(a.Capture, c.key)
	gone := record.Address{File: row.File, Sheet: row.Sheet, Row: row.Row}
	if c.transposed {
		gone.Row, gone.Column = 0, row.Row
	}
	o.gone[gone] = true
	o.dropped[row] = &drop{a: a}
	o.applied = append(o.applied, a)
	return ""
}

// Keep takes the captures out that are to be left out, and returns them apart.
func (o *Outcome) Keep(captures []*record.Capture) (kept, dropped []*record.Capture) {
	if o == nil || len(o.dropped) == 0 {
		return captures, nil
	}
	kept = captures[:0:0]
	for _, c := range captures {
		d := o.dropped[RowRef{c.File, c.Sheet, c.Table, c.Row}]
		if d == nil {
			kept = append(kept, c)
			continue
		}
		d.done = true
		dropped = append(dropped, c)
	}
	return kept, dropped
}

// NotDropped returns a finding for each decision whose row begins no capture. It is
// asked when all captures have come.
func (o *Outcome) NotDropped() []record.Finding {
	if o == nil {
		return nil
	}
	var out []record.Finding
	for _, a := range o.applied {
		if a.Action == Drop && !o.dropped[a.Rows[0]].done {
			out = append(out, a.unmatched(fmt.Sprintf("no capture begins in row %d; nothing is left out", a.Rows[0].Row)))
		}
	}
	return out
}

// isDropped reports whether a cell, or a row as a whole, is of a capture that is
// left out.
func (o *Outcome) isDropped(at record.Address) bool {
	return len(o.gone) > 0 && (o.gone[record.Address{File: at.File, Sheet: at.Sheet, Row: at.Row}] ||
		o.gone[record.Address{File: at.File, Sheet: at.Sheet, Column: at.Column}])
}
