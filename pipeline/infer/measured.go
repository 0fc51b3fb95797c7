package infer

import (
	"math"

	"spadefoot/pipeline/record"
)

// measured is one measurement of a capture over its repeats.
type measured struct {
	Value    float64
	Standard float64 // standard uncertainty, in Unit
	N        int
	Unit     string
	Decimals int
	From     record.Address
	Doubtful bool // the writer doubted one of the readings
}

// measurementOf gives the mean of the usable readings of a measurement. Its
// uncertainty joins that of the instrument, which repeats don't lessen, and the
// standard error of the repeats. A reading with no stated accuracy has that of
// its last digit.
func measurementOf(c *record.Capture, name string) (measured, bool) {
	var values []float64
	var m measured
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Measurement != name || !r.Usable() || math.IsNaN(r.Number) || math.IsInf(r.Number, 0) {
			continue
		}
		if m.N > 0 && r.Unit != m.Unit {
			continue
		}
		m.join(r)
		values = append(values, r.Number)
	}
	if m.N == 0 {
		return m, false
	}
	var sum, squares float64
	for _, v := range values {
		sum += v
	}
	m.Value = sum / float64(m.N)
	for _, v := range values {
		squares += (v - m.Value) * (v - m.Value)
	}
	if m.N > 1 {
		n := float64(m.N)
		m.Standard = math.Sqrt(m.Standard*m.Standard + squares/(n-1)/n)
	}
	return m, true
}

func (m *measured) join(r *record.Reading) {
	if m.N == 0 {
		m.Unit, m.Decimals, m.From = r.Unit, r.Decimals, r.From
	}
	m.N++
	m.Decimals = max(m.Decimals, r.Decimals)
	m.Doubtful = m.Doubtful || r.State == record.Doubtful
	m.Standard = math.Max(m.Standard, standardOf(r))
}

func standardOf(r *record.Reading) float64 {
	if r.Accuracy > 0 {
		return r.Accuracy / 2
	}
	if r.High > r.Low { // written with ±: taken as expanded, k = 2
		return (r.High - r.Low) / 4
	}
	return math.Pow(10, -float64(r.Decimals)) / math.Sqrt(12)
}

// massOf gives the mass of the animal: the measurement of that name, or the net
// of the weighing.
func massOf(c *record.Capture, name string) (measured, bool) {
	if m, ok := measurementOf(c, name); ok {
		return m, true
	}
	if c.Weighing == nil || c.Weighing.Net == nil || !c.Weighing.Net.Usable() {
		return measured{}, false
	}
	var m measured
	m.join(c.Weighing.Net)
	m.Value = c.Weighing.Net.Number
	return m, !math.IsNaN(m.Value) && !math.IsInf(m.Value, 0)
}

// sizePower says what power of a length a unit stands for: 1 for lengths, 3 for
// masses, 0 for what has no place in a shape.
func sizePower(unit string) float64 {
	switch unit {
	case "mm", "cm", "dm", "m", "um":
		return 1
	case "g", "kg", "mg":
		return 3
	}
	return 0
}
