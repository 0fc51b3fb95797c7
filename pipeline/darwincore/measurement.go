package darwincore

import (
	"cmp"
	"math"
	"regexp"
	"strconv"

	"spadefoot/pipeline/record"
)

// Names of the masses of a weighing, for readings that carry none.
const (
	grossMass = "grossMass" // animal and bag together
	bagMass   = "bagMass"
	bodyMass  = "bodyMass"
)

// Measurements makes the rows of the MeasurementOrFact extension, one for each
// reading that was taken and understood.
func (m *RowBuilder) Measurements(c *record.Capture) []Row {
	s := m.borrow()
	defer m.giveBack(s)
	published := s.read(c)
	rows := make([]Row, 0, len(published))
	s.facts(c, published, func(f *fact) {
		row := make(Row, 0, factCount)
		for i := range factCount {
			if cell := f.cell(i); len(cell.text) > 0 {
				row = append(row, Field{factTerms[i], cell.string()})
			}
		}
		rows = append(rows, row)
	})
	return rows
}

// published returns the readings of a capture in the order of its columns, then
// the masses of its weighing that are not among them.
func published(c *record.Capture) []*record.Reading {
	return appendPublished(make([]*record.Reading, 0, len(c.Readings)+3), new([3]namedMass), c)
}

// namedMass is a mass of a weighing with its name and scale, of which the reading
// itself lacks one. The masses of many captures share their series.
type namedMass struct {
	record.Reading
	from  *record.Series
	scale string
}

// name takes over a mass.
func (m *namedMass) name(r *record.Reading, name, scale string) *record.Reading {
	named := m.Series
	m.Reading = *r
	if m.from == r.Series && m.scale == scale {
		m.Series = named
		return &m.Reading
	}
	m.from, m.scale = r.Series, scale
	m.Vary(func(s *record.Series) {
		s.Measurement, s.Instrument = cmp.Or(s.Measurement, name), cmp.Or(s.Instrument, scale)
	})
	return &m.Reading
}

// appendPublished appends them. A mass that has to be named is copied into buf.
func appendPublished(out []*record.Reading, buf *[3]namedMass, c *record.Capture) []*record.Reading {
	for i := range c.Readings {
		out = append(out, &c.Readings[i])
	}
	w := c.Weighing
	if w == nil {
		return out
	}
	for i, p := range [...]struct {
		r    *record.Reading
		name string
	}{{w.Gross, grossMass}, {w.Tare, bagMass}, {w.Net, bodyMass}} {
		if p.r == nil {
			continue
		}
		r := p.r
		if r.Measurement == "" || r.Instrument == "" && w.Scale != "" {
			r = buf[i].name(r, p.name, w.Scale)
		}
		if !among(out, r) {
			out = append(out, r)
		}
	}
	return out
}

func among(rs []*record.Reading, r *record.Reading) bool {
	for _, o := range rs {
		if o.Number == r.Number && o.Replicate == r.Replicate && o.State == r.State && o.Measurement == r.Measurement && o.SameCell(r) {
			return true
		}
	}
	return false
}

// Value is the published text of a reading: a number, "<" or ">" and a number,
// or two numbers joined by a hyphen. It is "" for a reading that was not taken,
// not understood, or is not published since nobody decided on it.
func Value(r *record.Reading) string {
	if r.Undecided == "" && r.Text != "" && (r.State == record.Measured || r.State == record.Doubtful) {
		return r.Text
	}
	return string(appendNumbers(nil, r))
}

// appendNumbers appends the published text of a reading.
func appendNumbers(b []byte, r *record.Reading) []byte {
	if r.Undecided != "" {
		return b
	}
	switch r.State {
	case record.Measured, record.Doubtful:
	case record.Below:
		b = append(b, '<')
	case record.Above:
		b = append(b, '>')
	case record.Interval:
		if r.Text != "" {
			return append(b, r.Text...)
		}
		return appendDigits(append(appendDigits(b, r.Low(), r.Decimals), '-'), r.High(), r.Decimals)
	default:
		return b
	}
	if r.Text != "" {
		return append(b, r.Text...)
	}
	return appendDigits(b, r.Number, r.Decimals)
}

func appendDigits(b []byte, x float64, decimals int) []byte {
	return strconv.AppendFloat(b, x, 'f', max(decimals, 0), 64)
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// appendAccuracy appends an expanded uncertainty with two significant digits,
// which is as many as JCGM 100:2008 7.2.6 has a use for.
func appendAccuracy(b []byte, u float64) []byte {
	if !(u > 0) || math.IsInf(u, 0) {
		return b
	}
	var buf [32]byte
	rounded, err := strconv.ParseFloat(string(strconv.AppendFloat(buf[:0], u, 'e', 1, 64)), 64)
	if err != nil {
		return b
	}
	return strconv.AppendFloat(b, rounded, 'f', -1, 64)
}

var numberForm = regexp.MustCompile(`^-?\d+(?:\.\d+)?$`)

func isNumber(text string) bool { return numberForm.MatchString(text) }
