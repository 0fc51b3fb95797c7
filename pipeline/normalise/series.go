package normalise

import (
	"strings"

	"spadefoot/pipeline/record"
)

// series is what all readings have in common that are measured so, in such units.
func (m *measured) series(unit, written string) record.Series {
	of := &m.meaning
	return record.Series{Measurement: measurementOf(of), Unit: unit, WrittenUnit: written,
		Instrument: of.Instrument, Observer: of.Observer, Heading: m.heading, Side: of.Side, Replicate: of.Replicate}
}

// measurementOf is what is measured in a column; the parts of a weighing are masses.
func measurementOf(m *record.Meaning) string {
	if m.Role != record.WeighPart {
		return m.Measurement
	}
	switch m.Part {
	case record.Gross:
		return "grossMass"
	case record.Tare:
		return "bagMass"
	}
	return "bodyMass"
}

// shared returns the same series for what is equal.
func (p *plan) shared(s record.Series) *record.Series {
	if same := p.series.find(s); same != nil {
		return same
	}
	own := s
	own.Heading = strings.Clone(s.Heading) // it may be cut from the text of a chunk
	return p.series.keep(own, &own)
}

// finish fills in where a reading was written, how finely it was taken and, where
// that is known, how well it repeats. own says that it is in the unit of its column.
func (r *row) finish(out *record.Reading, read *measured, c *record.Cell, comma, own bool) {
	observer, resolution := "", 0.0
	if len(read.resolution.of) > 0 || len(read.repeats) > 0 {
		observer = r.plan.observer(r.cells)
	}
	if own {
		resolution = read.resolution.by(observer)
	}
	if s := out.Series; s.Column.Column != c.Column || s.Comma != comma || s.Resolution != resolution {
		like := *s
		like.Column = record.Address{File: r.table.File, Sheet: r.table.Sheet, Column: c.Column}
		like.Comma, like.Resolution = comma, resolution
		out.Series = r.plan.shared(like)
	}
	out.Verbatim, out.Row = c.Verbatim(), int32(c.Row)
	if len(read.repeats) == 0 || out.Accuracy > 0 || !out.Usable() {
		return
	}
	if out.Observer != "" {
		observer = out.Observer
	}
	if s := read.repeats.Find(out.Measurement, observer); s != nil {
		out.Accuracy = record.Expanded(s.Of(out.Number), out.Resolution/sqrt12)
		out.SetRemark(s.Said)
	}
}

const sqrt12 = 3.4641016151377544
