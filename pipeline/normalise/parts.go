package normalise

import (
	"cmp"
	"strconv"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// weighing puts the parts of a weighing together as written; the arithmetic is
// the next stage's.
func (r *row) weighing() {
	for _, i := range r.plan.parts {
		r.part(i, &r.plan.columns[i].read, &r.cells[i])
	}
	w := r.capture.Weighing
	if w == nil {
		return
	}
	w.Bagged = r.plan.bagged
	if w.Way == "" {
		w.Way = r.x.Weighing.Way
	}
	if w.Scale == "" {
		w.Scale = r.x.Weighing.Scale
	}
	if w.Way == record.SessionTare && w.Tare == nil && r.x.Weighing.Tare > 0 && w.Gross != nil {
		w.Spread = r.x.Weighing.Spread
		if r.plan.tare != nil {
			w.Tare = r.slab.part(*r.plan.tare)
		}
	}
	for p := range w.Readings() {
		if p.Instrument == "" && w.Scale != "" {
			p.Vary(func(s *record.Series) { s.Instrument = w.Scale })
		}
	}
}

// sessionTare is the tare of a whole session, nil if there is none.
func sessionTare(x *Context) *record.Reading {
	written := strconv.FormatFloat(x.Weighing.Tare, 'f', -1, 64)
	t, err := quantity.Parse(written, quantity.Options{Decimal: '.', Unit: cmp.Or(x.Weighing.Unit, "g")}).Reading("g", written)
	if err != nil {
		return nil
	}
	t.Vary(func(s *record.Series) { s.Measurement = "bagMass" })
	t.SetRemark("tare of the whole session")
	t = t.At(x.Weighing.From)
	return &t
}

// part takes one part of a weighing.
func (r *row) part(i int, read *measured, c *record.Cell) {
	if c.Empty() {
		return
	}
	w := r.capture.Weighing
	if w == nil {
		w = r.slab.weighing()
		r.capture.Weighing = w
	}
	part := read.meaning.Part
	switch part {
	case record.Bag:
		w.BagLabel, w.Bag = strings.TrimSpace(c.Text), r.at(c)
		return
	case record.Scale:
		w.Scale = strings.TrimSpace(c.Text)
		return
	}
	if gross, tare, ok := r.bagged(i, read, c); ok {
		w.Gross, w.Tare = r.slab.part(gross), r.slab.part(tare)
		return
	}
	out := r.slab.part(record.Reading{})
	r.reading(i, read, c, out)
	to := &w.Net
	switch part {
	case record.Gross:
		to = &w.Gross
	case record.Tare:
		to = &w.Tare
	case record.Net:
	default:
		return
	}
	*to = out
}
