package screen

import (
	"slices"

	"spadefoot/pipeline/record"
)

// Neighbours is the number of captures before and behind a part that its rows are
// compared with, so that findings on neighbouring rows do not depend on how
// a survey is cut: two rows that exchanged their values, as far apart as they are
// held against others, and as much again for what is exchanged there.
const Neighbours = 12

// Beside are the captures next to a part, as many as Neighbours on either side or
// fewer.
type Beside struct{ Before, After []*record.Capture }

// beside are the rows next to those of a part, made ready.
type beside struct {
	before, after []*row
	from          int // of the part's own rows among all
}

// beside makes rows of the captures next to a part, and links every row to the one
// above it.
func (x *Screening) beside(p *part, near Beside) {
	p.beside.before, p.beside.from = x.besideRows(near.Before), len(near.Before)
	p.beside.after = x.besideRows(near.After)
	all := p.all()
	for i := 1; i < len(all); i++ {
		if a, b := all[i-1].capture, all[i].capture; a.File == b.File && a.Sheet == b.Sheet && a.Table == b.Table && a.Row == b.Row-1 {
			all[i].above = all[i-1]
		}
	}
}

func (x *Screening) besideRows(captures []*record.Capture) []*row {
	rows := make([]*row, len(captures))
	for i, c := range inOrder(captures) {
		rows[i] = rowOf(c)
		x.find.f.resolve(rows[i])
	}
	return rows
}

// all are the rows of a part and those beside it, in the order of their addresses.
func (p *part) all() []*row { return slices.Concat(p.beside.before, p.rows, p.beside.after) }

// Last returns what the next part has before it: the last captures of what was beside
// a part and of the part itself, as copies, since these may change or go.
func (near Beside) Last(captures []*record.Capture) []*record.Capture {
	all := captures
	if len(all) < Neighbours {
		all = slices.Concat(near.Before, captures)
	}
	return copies(all[max(0, len(all)-Neighbours):])
}

// copies share no reading with the captures, which may change or go.
func copies(captures []*record.Capture) []*record.Capture {
	out := make([]*record.Capture, len(captures))
	for i, c := range captures {
		d := *c
		d.Values, d.Readings = slices.Clone(c.Values), slices.Clone(c.Readings)
		if c.Weighing != nil {
			w := *c.Weighing
			for _, r := range []**record.Reading{&w.Gross, &w.Tare, &w.Net} {
				if *r != nil {
					own := **r
					*r = &own
				}
			}
			d.Weighing = &w
		}
		out[i] = &d
	}
	return out
}
