package normalise

import (
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/record"
)

// Rows turns the rows of a table into captures, a chunk at a time.
type Rows struct {
	t       *record.Table
	x       *Context
	columns *columns
	found   gathered
	aside   []record.Finding // held since the last Add, at warning or above
	nights  nights
	gaps    gaps
	order   dateOrder
	marks   markLengths
	slabs   slabs
	lent    []*slab         // since it was last asked
	last    *record.Capture // of a table with one row per measurement: its next row may follow
}

// Begin begins to read a mapped table that comes in chunks. What is told from
// whole columns (the decimal mark, the order of day and month, the parts that
// a ruler is read to) is told from the rows that t has, which are the first of
// the table; those rows are not captures until they are given to Add.
func Begin(t *record.Table, x *Context) *Rows {
	r := &Rows{t: t, x: x, columns: gather(t, x), found: gathered{most: maxHeld}, gaps: newGaps(t)}
	r.nights.most = maxHeld.ofOne
	return r
}

// Add reads further rows on all processors; what comes out depends neither on
// their number nor on where the rows are cut. The captures' texts are those of
// the rows, cut from the same memory. The findings are errors; others have
// their cells gathered, and End gives them. What findings hold stays valid when
// the rows are gone.
//
// A table with one row per measurement gives its last capture later, since
// more rows of it may follow.
func (r *Rows) Add(rows []record.TableRow) ([]*record.Capture, []record.Finding) {
	out := make([]*record.Capture, 0, len(rows)+1)
	if r.last != nil {
		out = append(out, r.last)
	}
	var fs []record.Finding
	_ = parallel.InOrder(each(rows), func(rows []*record.TableRow) chunk {
		return readRows(r.t, rows, r.x, r.columns, &r.slabs)
	}, func(l chunk) error {
		fs = r.hold(l.findings, fs)
		if !r.columns.long {
			out = append(out, l.captures...)
			r.lent = append(r.lent, l.slab)
			return nil
		}
		for _, c := range l.captures {
			if n := len(out); n > 0 && c.Key != "" && out[n-1].Key == c.Key {
				join(out[n-1], c)
				continue
			}
			out = append(out, c)
		}
		return nil // nor does taking fail
	})
	if n := len(out); r.columns.long && n > 0 {
		r.last, out = out[n-1], out[:n-1]
	}
	r.watch(out)
	return out, fs
}

// Memory returns the memory of the captures that Add has given since it was last
// asked, to be released when they are gone. A table with one row per measurement
// lends none, since its captures reach from chunk to chunk.
func (r *Rows) Memory() Memory {
	l := Memory{of: &r.slabs, lent: r.lent}
	r.lent = nil
	return l
}

// Waiting is the row of the capture that was not given yet, since more rows of it
// may follow; 0 for none.
func (r *Rows) Waiting() int {
	if r.last == nil {
		return 0
	}
	return r.last.Row
}

// hold gathers findings and adds those that stand for themselves to fs.
func (r *Rows) hold(found, fs []record.Finding) []record.Finding {
	for i := range found {
		switch {
		case !r.found.add(&found[i]):
			fs = append(fs, lasting(found[i]))
		case found[i].Level >= record.Warning:
			r.aside = append(r.aside, lasting(found[i]))
		}
	}
	return fs
}

// Aside gives, each once, the warnings that were held since it was last asked:
// what End tells of their cells together.
func (r *Rows) Aside() []record.Finding {
	out := r.aside
	r.aside = nil
	return out
}

// watch looks over captures that are whole.
func (r *Rows) watch(captures []*record.Capture) {
	nights := !r.x.NightStated && r.columns.plan.timed
	for _, c := range captures {
		date := c.Value("eventDate")
		r.gaps.add(c, date, r.t)
		r.order.add(c, date)
		r.marks.add(c)
		if nights {
			r.nights.add(c)
		}
	}
}

// End returns what waited: the last capture of a table with one row per
// measurement, and the findings that are said once for the table.
func (r *Rows) End() ([]*record.Capture, []record.Finding) {
	var out []*record.Capture
	if r.last != nil {
		out = append(out, r.last)
		r.last = nil
		r.watch(out)
	}
	fs := append(r.hold(r.nights.findings(), nil), r.gaps.findings()...)
	fs = append(append(fs, r.order.findings()...), r.marks.findings()...)
	return out, append(r.found.end(), fs...)
}
