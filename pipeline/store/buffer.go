package store

import (
	"math/bits"

	"spadefoot/pipeline/record"
)

// added is the number of readings that later stages add to a capture: the mass
// of the animal and two indices of condition.
const added = 3

// Buffer is the memory that a part is read back into. What was in it before is
// gone when the next part is read back.
type Buffer struct {
	captures  []*record.Capture
	slab      []record.Capture
	values    []record.Value
	readings  []record.Reading
	weighings []record.Weighing
	parts     []record.Reading // of weighings
	cells     []record.Written
}

// fit makes sure that the captures of a part fit. What was there before is
// cleared as it is taken.
func (h *Buffer) fit(of *counts) {
	h.captures = resized(h.captures, of.captures)
	h.slab = resized(h.slab, of.captures)
	h.values = resized(h.values, of.values)
	h.readings = resized(h.readings, of.readings+added*of.captures)
	h.weighings = resized(h.weighings, of.weighings)
	h.parts = resized(h.parts, 3*of.weighings)
	h.cells = resized(h.cells, of.cells)
}

func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/8)
	}
	return s[:n]
}

// counts says how many there are of what a part is made of.
type counts struct{ captures, values, readings, weighings, cells int }

func (n *counts) add(c *record.Capture) {
	n.captures++
	n.values += len(c.Values)
	n.readings += len(c.Readings)
	n.cells += len(c.Cells)
	if c.Weighing != nil {
		n.weighings++
	}
}

// taker cuts the pieces of captures out of a buffer.
type taker struct {
	reader
	buffer                                   *Buffer
	grows                                    bool // as it is needed, for a single capture
	values, readings, weighed, part, written int
	own                                      shared // of a capture whose shape is its own
}

// take cuts the next n pieces out of a slice of the buffer.
func take[T any](t *taker, from []T, taken *int, n int) []T {
	switch {
	case n == 0:
		return nil
	case t.grows:
		return make([]T, n)
	case *taken+n > len(from):
		t.fail()
		return nil
	}
	*taken += n
	return from[*taken-n : *taken : *taken]
}

// takeReadings leaves space behind the readings for those that are added later.
func (t *taker) takeReadings(n int) []record.Reading {
	from := t.readings
	switch {
	case t.grows:
		return make([]record.Reading, n, n+added)
	case from+n+added > len(t.buffer.readings):
		t.fail()
		return nil
	}
	t.readings += n + added
	if n == 0 {
		return nil
	}
	return t.buffer.readings[from : from+n : from+n+added]
}

func (t *taker) capture(c *record.Capture) {
	*c = record.Capture{}
	c.File = t.text()
	c.Sheet = t.text()
	c.Row = t.int()
	c.Table = t.int()
	c.ID = t.plain()
	c.Key = t.plain()
	c.Session = t.text()
	c.Scope = t.text()
	of := t.shape(c)
	parts := t.byte()
	readings := len(of.series) - bits.OnesCount8(parts&(weighingGross|weighingTare|weighingNet))
	if readings < 0 {
		t.fail()
		return
	}
	c.Values = take(t, t.buffer.values, &t.values, len(of.fields))
	for i := range c.Values {
		t.value(c, &c.Values[i], of.fields[i])
	}
	c.Readings = t.takeReadings(readings)
	for i := range c.Readings {
		t.reading(c, &c.Readings[i], of.series[i])
	}
	if parts != 0 {
		t.weighing(c, parts, of.series[readings:])
	}
	c.Extras = list(&t.reader, func() record.Extra {
		return record.Extra{Heading: t.text(), Text: t.text(), From: t.address()}
	})
	c.Remarks = list(&t.reader, t.plain)
	t.cells(c, of.cells)
}

func (r *reader) address() record.Address {
	return record.Address{File: r.text(), Sheet: r.text(), Row: r.int(), Column: r.int()}
}

func (t *taker) value(c *record.Capture, v *record.Value, of *record.Field) {
	head := t.uint()
	n := head >> valueMarks
	v.Field, v.Text, v.Word = of, t.called(n), uint32(max(n, 1)-1)
	switch {
	case head&valueAsWritten != 0:
		v.Verbatim = v.Text
	case head&valueVerbatim != 0:
		v.Verbatim = t.text()
	default:
		v.Verbatim = ""
	}
	v.Row = int32(c.Row)
	if head&valueElsewhere != 0 {
		v.Row = int32(t.int())
	}
}

func (t *taker) reading(c *record.Capture, r *record.Reading, of *record.Series) {
	head := t.byte()
	r.Series, r.State, r.Decimals, r.Number, r.Text = of, record.State(head>>readingMarks), t.int(), t.float(), t.plain()
	r.Accuracy, r.Verbatim, r.Rare, r.Row = 0, "", nil, int32(c.Row)
	switch {
	case head&readingAsWritten != 0:
		r.Verbatim = r.Text
	case head&readingVerbatim != 0:
		r.Verbatim = t.plain()
	}
	if head&readingElsewhere != 0 {
		r.Row = int32(t.int())
	}
	if head&readingRare != 0 {
		r.Rare = &record.Rare{Low: t.float(), High: t.float(), Remark: t.text()}
	}
	if head&readingAccuracy != 0 {
		r.Accuracy = t.float()
	}
}

func (t *taker) weighing(c *record.Capture, parts byte, of []*record.Series) {
	if t.grows {
		t.buffer.weighings, t.buffer.parts = make([]record.Weighing, 1), make([]record.Reading, 3)
	}
	if t.weighed == len(t.buffer.weighings) {
		t.fail()
		return
	}
	g := &t.buffer.weighings[t.weighed]
	t.weighed++
	*g = record.Weighing{}
	c.Weighing = g
	g.Way = record.WeighWay(t.text())
	g.Scale = t.text()
	for i, p := range []**record.Reading{&g.Gross, &g.Tare, &g.Net} {
		if parts&(1<<i) != 0 {
			*p = &t.buffer.parts[t.part]
			t.part++
			t.reading(c, *p, of[0])
			of = of[1:]
		}
	}
	if parts&weighingBag != 0 {
		g.BagLabel = t.text()
		g.Bag = t.address()
	}
}
