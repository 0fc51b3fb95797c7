package screen

import (
	"math"

	"spadefoot/pipeline/record"
)

// Expectation is what is expected of one measurement by the others of an animal; of
// an animal that nothing else was measured of, what is expected of its group. Of
// such animals 95 % lie between Low and High.
type Expectation struct {
	Measurement string
	Low, High   float64 // in the unit of the measurement
}

// Expect returns what a summary expects of measurements of one capture,
// whether they were taken or not, as the reasons of Judge say it. Readings of those
// in doubt tell nothing of the others. It leaves out what the taxon was not
// measured in.
func Expect(c *record.Capture, measurements, doubted []string, sum *Summary, s Settings) (out []Expectation) {
	f := sum.fitFor(s)
	r := rowOf(c)
	m := f.models[r.taxon]
	if m == nil {
		return nil
	}
	f.resolve(r)
	for _, name := range measurements {
		at, known := m.index[name]
		if !known || !(m.typical[at] > 0) {
			continue
		}
		seen := r
		if r.find(name) == nil {
			seen = r.supposing(name, m.typical[at])
			f.resolve(seen)
		}
		var skip []*cell
		for _, other := range doubted {
			if cell := seen.find(other); cell != nil && other != name {
				skip = append(skip, cell)
			}
		}
		if low, high, ok := f.expectOf(seen, name, skip); ok {
			out = append(out, Expectation{name, low, high})
		}
	}
	return out
}

func (f *fitted) expectOf(r *row, name string, skip []*cell) (low, high float64, ok bool) {
	v := f.view(r, skip...)
	if v == nil || v.model.common {
		return 0, 0, false
	}
	i := v.at(name)
	if i < 0 {
		return 0, 0, false
	}
	low, high = v.range95(i)
	return low, high, !math.IsNaN(low) && !math.IsInf(high, 0)
}

// supposing returns the row as if a measurement had been taken. What is expected
// of a cell hardly depends on its own value.
func (r *row) supposing(name string, value float64) *row {
	out := *r
	at := 0
	for at < len(r.cells) && r.cells[at].measurement < name {
		at++
	}
	supposed := cell{measurement: name, value: value, log: math.Log(value), readings: []*record.Reading{{Series: &record.Series{Measurement: name}, Number: value}}}
	out.cells = append(append(append([]cell{}, r.cells[:at]...), supposed), r.cells[at:]...)
	return &out
}
