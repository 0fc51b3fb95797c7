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

// cellLike says how a reading of a series stands in its cell.
type cellLike struct {
	series     *record.Series
	column     int
	comma      bool
	resolution float64
}

// inCell returns the series of readings that stand in their cells like this.
func (r *row) inCell(l cellLike) *record.Series {
	s := l.series
	if s.Column.Column == l.column && s.Comma == l.comma && s.Resolution == l.resolution {
		return s
	}
	if same := r.plan.cells.find(l); same != nil {
		return same
	}
	own := *s
	own.Column = record.Address{File: r.table.File, Sheet: r.table.Sheet, Column: l.column}
	own.Comma, own.Resolution = l.comma, l.resolution
	return r.plan.cells.keep(l, &own)
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
	out.Series = r.inCell(cellLike{out.Series, c.Column, comma, resolution})
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
