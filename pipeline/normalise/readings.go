package normalise

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// measurements reads the measured columns, and the pair of name and value
// where each row is one measurement.
func (r *row) measurements() {
	for _, i := range r.plan.measured {
		c, col := &r.cells[i], r.plan.columns[i]
		if col.Meaning.Role == record.Measurement {
			r.take(i, &col.read, c)
			continue
		}
		if long, name, ok := r.long(col.Meaning); ok {
			read := r.once(long, name)
			if long.Role == record.WeighPart {
				r.part(i, &read, c)
			} else {
				r.take(i, &read, c)
			}
		}
	}
}

// once prepares for one reading, of a column whose cells measure this and that.
func (r *row) once(m record.Meaning, name string) measured {
	if m.Role == record.WeighPart && m.Instrument == "" {
		m.Instrument = r.x.Weighing.Scale
	}
	return measured{meaning: m, heading: name, resolution: r.plan.long[kindOf(&m)], repeats: r.x.Repeats}
}

// take reads one measurement into the capture. Two measurements in one cell
// are both read; the second belongs to whatever it has the unit of.
func (r *row) take(i int, read *measured, c *record.Cell) {
	if c.Empty() {
		return
	}
	r.readings = append(r.readings, record.Reading{})
	if second := r.reading(i, read, c, &r.readings[len(r.readings)-1]); second != nil {
		r.second(read, *second, c)
	}
}

// second keeps the other half of "57 / 19 g" where a mass stands behind a
// length; anything else stays in the remarks.
func (r *row) second(read *measured, q quantity.Quantity, c *record.Cell) {
	m := &read.meaning
	if quantity.Dimension(q.Unit) == "mass" && quantity.Dimension(m.Unit) != "mass" && r.capture.Weighing == nil {
		k := r.convert(q, &measured{meaning: record.Meaning{Role: record.Measurement, Measurement: "bodyMass", Unit: "g", Instrument: r.x.Weighing.Scale}, heading: read.heading})
		r.say(&k, "bodyMass", c)
		k.reading.Verbatim = c.Verbatim()
		w := r.slab.weighing()
		*w = record.Weighing{Way: record.AsWritten, Net: r.slab.part(k.reading.At(r.at(c))), Scale: r.x.Weighing.Scale}
		r.capture.Weighing = w
		return
	}
	r.remark(fmt.Sprintf("%s: there is a second value in the cell %q", m.Measurement, c.Text))
}

// reading reads a cell that says something as a quantity. It returns a second one
// that is in the cell, or nil.
func (r *row) reading(i int, read *measured, c *record.Cell, out *record.Reading) (second *quantity.Quantity) {
	m := &read.meaning
	if c.Kind == record.Fault {
		*out = record.Reading{Series: r.plan.shared(read.series(m.Unit, "")), State: record.Unread, Verbatim: c.Verbatim()}.At(r.at(c))
		return nil
	}
	comma := r.columns.mark(i, c) == ','
	if number, decimals, plain := read.plainly(c); plain {
		out.Series, out.Number, out.Decimals, out.Text = read.usual, number, decimals, c.Text
		r.finish(out, read, c, comma, true)
		return nil
	}
	k := r.knownReading(i, read, c)
	r.say(k, field(m), c)
	*out = k.reading
	r.finish(out, read, c, comma, out.WrittenUnit == m.Unit)
	return k.second
}

// plainly reads a plain cell of a column in the unit that is published.
func (m *measured) plainly(c *record.Cell) (number float64, decimals int, ok bool) {
	switch {
	case !m.same:
		return 0, 0, false
	case c.Kind == record.Number:
		return m.stored.Plain(c.Text)
	}
	return m.plain.Plain(c.Text)
}

// knownReading reads a text, once for all cells of the column that hold it.
func (r *row) knownReading(i int, read *measured, c *record.Cell) *known {
	memo := read.known
	if c.Kind == record.Number {
		memo = nil // these are read with another decimal mark
	}
	if memo != nil {
		if k := memo.find(c.Text); k != nil {
			return k
		}
	}
	text := strings.Clone(c.Text)
	q := quantity.Parse(text, read.options(r.columns.mark(i, c), r.columns.written[i]))
	if q.State == record.Unread && saysWhy(text, read.meaning.Measurement) {
		q = quantity.Quantity{State: record.Missing, Remark: text}
	}
	k := r.convert(q, read)
	if memo != nil {
		memo.keep(text, &k)
	}
	return &k
}

// saysWhy reports whether a text in place of a number says what the measured part
// lacks: "broken" under the length of a tail.
func saysWhy(text, measurement string) bool {
	return !strings.ContainsAny(text, "0123456789") && slices.ContainsFunc(vocabulary.Explanations(text, measurement), func(e vocabulary.Explanation) bool {
		return !e.Larger && e.Most == 0 && slices.Contains(e.Measurements, measurement)
	})
}

// say puts the problems and the remark of a reading at its cell.
func (r *row) say(k *known, field string, c *record.Cell) {
	r.problems(k.problems, c, field)
	if k.remark != "" {
		r.remark(k.remark)
	}
}

// convert brings a quantity to the measurement's own unit with no more digits
// than were written.
func (r *row) convert(q quantity.Quantity, read *measured) known {
	m := &read.meaning
	unit := unitOf(*m, r.x)
	reading, err := q.Reading(unit, "")
	k := known{reading: reading, second: q.Second, problems: q.Problems}
	out := &k.reading
	s := read.series(unit, cmp.Or(out.WrittenUnit, m.Unit))
	s.Guessed = m.Guessed && !q.UnitWritten
	out.Series = r.plan.shared(s)
	if q.Remark != "" {
		k.remark = field(m) + ": " + q.Remark
	}
	if err != nil {
		out.State = record.Unread
		k.problems = append(k.problems[:len(k.problems):len(k.problems)], record.Problem{Rule: "unit-dimension", Level: record.Error,
			Reason: fmt.Sprintf("%s is measured in %s, but the cell has %s", field(m), unit, q.Unit)})
		return k
	}
	if q.Half > 0 && out.Usable() {
		out.Accuracy = scaleWidth(q.Half, q.Unit, unit) // as it was written
	}
	return k
}

// unitOf is the unit that a measurement is published in.
func unitOf(m record.Meaning, x *Context) string {
	if m.Role == record.WeighPart {
		return "g"
	}
	if x.UnitOf != nil {
		if u := x.UnitOf(m.Measurement); u != "" {
			return u
		}
	}
	return m.Unit
}

func field(m *record.Meaning) string {
	if m.Role == record.WeighPart {
		return m.Part
	}
	return m.Measurement
}

func scaleWidth(w float64, from, to string) float64 {
	f, ok := quantity.Factor(from, to)
	if !ok {
		return 0
	}
	x, _ := f.Float64()
	return w * x
}
