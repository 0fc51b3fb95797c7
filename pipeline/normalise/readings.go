package normalise

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// measurements reads the measured columns, and the pair of name and value
// where each row is one measurement.
func (r *row) measurements() {
	for i, c := range r.cells {
		m := r.table.Columns[i].Meaning
		switch m.Role {
		case record.Measurement:
			r.take(i, m, c)
		case record.ValueColumn:
			if long, ok := r.long(m); ok {
				if long.Role == record.WeighPart {
					r.part(i, long, c)
				} else {
					r.take(i, long, c)
				}
			}
		}
	}
}

// take reads one measurement into the capture. Two measurements in one cell
// are both read; the second belongs to whatever it has the unit of.
func (r *row) take(i int, m record.Meaning, c record.Cell) {
	reading, second := r.reading(i, m, c)
	if reading == nil {
		return
	}
	r.capture.Readings = append(r.capture.Readings, *reading)
	if second != nil {
		r.second(m, *second, c)
	}
}

// second keeps the other half of "57 / 19 g" where a mass stands behind a
// length; anything else stays in the remarks.
func (r *row) second(m record.Meaning, q quantity.Quantity, c record.Cell) {
	if quantity.Dimension(q.Unit) == "mass" && quantity.Dimension(m.Unit) != "mass" && r.capture.Weighing == nil {
		mass := r.convert(q, record.Meaning{Role: record.Measurement, Measurement: "bodyMass", Unit: "g", Instrument: r.x.Weighing.Scale}, c)
		r.capture.Weighing = &record.Weighing{Way: record.Zeroed, Net: &mass, Scale: r.x.Weighing.Scale}
		return
	}
	r.remark(fmt.Sprintf("%s: a second value stands in the cell %q", m.Measurement, c.Text))
}

// reading reads a cell as a quantity. It is nil for a cell that says nothing.
func (r *row) reading(i int, m record.Meaning, c record.Cell) (*record.Reading, *quantity.Quantity) {
	if c.Empty() {
		return nil, nil
	}
	if c.Kind == record.Fault {
		return &record.Reading{Measurement: m.Measurement, State: record.Unread, Verbatim: c.Verbatim(), From: r.at(c),
			Instrument: m.Instrument, Observer: m.Observer, Replicate: m.Replicate, Unit: m.Unit}, nil
	}
	q := quantity.Parse(c.Text, quantity.Options{
		Decimal: r.decimal(i, c), Unit: m.Unit, Part: r.columns.part[i], ZeroMissing: m.ZeroMissing, Want: quantity.Dimension(m.Unit)})
	r.problems(q.Problems, c, field(m))
	out := r.convert(q, m, c)
	out.Comma = r.decimal(i, c) == ','
	return &out, q.Second
}

// convert brings a quantity to the measurement's own unit with no more digits
// than were written.
func (r *row) convert(q quantity.Quantity, m record.Meaning, c record.Cell) record.Reading {
	unit := r.unit(m)
	out, err := q.Reading(unit, c.Verbatim())
	out.Measurement, out.Instrument, out.Observer, out.Replicate, out.From = m.Measurement, m.Instrument, m.Observer, m.Replicate, r.at(c)
	if out.WrittenUnit == "" {
		out.WrittenUnit = m.Unit
	}
	if q.Remark != "" {
		r.remark(field(m) + ": " + q.Remark)
	}
	if err != nil {
		out.State = record.Unread
		r.problem(record.Problem{Rule: "unit-dimension", Level: record.Error,
			Reason: fmt.Sprintf("%s is measured in %s, but the cell has %s", field(m), unit, q.Unit)}, c, field(m))
		return out
	}
	if out.State != record.Missing && out.State != record.Unread {
		out.Accuracy = r.accuracy(q, m, unit)
	}
	return out
}

// unit is the one that a measurement is published in.
func (r *row) unit(m record.Meaning) string {
	if m.Role == record.WeighPart {
		return "g"
	}
	if r.x.UnitOf != nil {
		if u := r.x.UnitOf(m.Measurement); u != "" {
			return u
		}
	}
	return m.Unit
}

func field(m record.Meaning) string {
	if m.Role == record.WeighPart {
		return m.Part
	}
	return m.Measurement
}

// accuracy is the expanded uncertainty (coverage factor 2) that the
// graduation of the instrument gives a single reading: the half-interval of a
// rectangular distribution over the square root of three (JCGM 100:2008,
// 4.3.7), or the ± that was written, which is taken as it stands.
func (r *row) accuracy(q quantity.Quantity, m record.Meaning, unit string) float64 {
	if q.Half > 0 {
		return scaleWidth(q.Half, q.Unit, unit)
	}
	in, ok := r.x.Instruments[m.Instrument]
	if !ok || in.Graduation <= 0 {
		return 0
	}
	return 2 * quantity.HalfWidth(scaleWidth(in.Graduation, in.Unit, unit)) / sqrt3
}

const sqrt3 = 1.7320508075688772

func scaleWidth(w float64, from, to string) float64 {
	f, ok := quantity.Factor(from, to)
	if !ok {
		return 0
	}
	x, _ := f.Float64()
	return w * x
}

// long finds what the value of a one-measurement-per-row table measures.
func (r *row) long(value record.Meaning) (record.Meaning, bool) {
	var name, unit record.Cell
	for i, c := range r.cells {
		switch r.table.Columns[i].Meaning.Role {
		case record.NameColumn:
			name = c
		case record.UnitColumn:
			unit = c
		}
	}
	if name.Empty() {
		return value, false
	}
	m := value
	m.Role = record.Measurement
	switch part := strings.ToLower(strings.TrimSpace(name.Text)); part {
	case record.Gross, record.Tare, record.Net:
		m.Role, m.Part = record.WeighPart, part
	default:
		got, ok := "", false
		if own, has := value.Vocabulary[strings.TrimSpace(name.Text)]; has {
			got, ok = own, true
		} else if r.x.Measurement != nil {
			got, ok = r.x.Measurement(name.Text)
		}
		if !ok {
			r.problem(record.Problem{Rule: "measurement-unknown", Level: record.Error,
				Reason: fmt.Sprintf("%q is not in the measurement vocabulary; the value beside it is not read", name.Text)}, name, "measurementType")
			return m, false
		}
		m.Measurement = got
	}
	if u, ok := quantity.FindUnit(unit.Text); ok {
		m.Unit = u
	} else if m.Unit == "" && r.x.UnitOf != nil {
		m.Unit = r.x.UnitOf(m.Measurement)
	}
	return m, true
}

// weighing puts the parts of a weighing together as written; the arithmetic is
// the next stage's.
func (r *row) weighing() {
	for i, c := range r.cells {
		if m := r.table.Columns[i].Meaning; m.Role == record.WeighPart {
			r.part(i, m, c)
		}
	}
	w := r.capture.Weighing
	if w == nil {
		return
	}
	if w.Way == "" {
		w.Way = r.x.Weighing.Way
	}
	if w.Scale == "" {
		w.Scale = r.x.Weighing.Scale
	}
	if w.Way == record.SessionTare && w.Tare == nil && r.x.Weighing.Tare > 0 && w.Gross != nil {
		w.Tare = r.sessionTare()
	}
	for _, p := range []*record.Reading{w.Gross, w.Tare, w.Net} {
		if p != nil && p.Instrument == "" {
			p.Instrument = w.Scale
		}
	}
}

func (r *row) sessionTare() *record.Reading {
	unit := r.x.Weighing.Unit
	if unit == "" {
		unit = "g"
	}
	written := strconv.FormatFloat(r.x.Weighing.Tare, 'f', -1, 64)
	t, err := quantity.Parse(written, quantity.Options{Decimal: '.', Unit: unit}).Reading("g", written)
	if err != nil {
		return nil
	}
	t.Measurement, t.From, t.Remark = "bagMass", r.x.Weighing.From, "tare of the whole session"
	return &t
}

func (r *row) part(i int, m record.Meaning, c record.Cell) {
	if c.Empty() {
		return
	}
	if r.capture.Weighing == nil {
		r.capture.Weighing = &record.Weighing{}
	}
	w := r.capture.Weighing
	switch m.Part {
	case record.Bag:
		w.BagLabel, w.Bag = strings.TrimSpace(c.Text), r.at(c)
		return
	case record.Scale:
		w.Scale = strings.TrimSpace(c.Text)
		return
	}
	if m.Instrument == "" {
		m.Instrument = r.x.Weighing.Scale
	}
	reading, _ := r.reading(i, m, c)
	switch m.Part {
	case record.Gross:
		reading.Measurement, w.Gross = "grossMass", reading
	case record.Tare:
		reading.Measurement, w.Tare = "bagMass", reading
	case record.Net:
		reading.Measurement, w.Net = "bodyMass", reading
	}
}
