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
	first    *record.Reading
	Open     bool // the accuracy of a reading is not known
	Doubtful bool // the writer doubted one of the readings
}

// taken is what was measured of one animal, with the net of its weighing; nothing
// of a row that stands for several.
type taken struct {
	readings []record.Reading
	net      *record.Reading
}

func takenOf(c *record.Capture) (t taken) {
	if c.Several() {
		return t
	}
	t.readings = c.Readings
	if c.Weighing != nil {
		t.net = c.Weighing.Net
	}
	return t
}

// measurement returns the mean of the usable readings of a measurement. Its
// uncertainty joins that of the instrument, which repeats don't lessen, and the
// standard error of the repeats. A reading with no stated accuracy has that of
// its last digit.
func (t *taken) measurement(name string) (m measured, ok bool) {
	readings, sum := t.readings, 0.0
	for i := range readings {
		if r := &readings[i]; m.takes(r, name) {
			m.join(r)
			sum += r.Number
		}
	}
	if m.N == 0 {
		return m, false
	}
	n := float64(m.N)
	m.Value = sum / n
	if m.N == 1 {
		return m, true
	}
	var squares float64
	for i := range readings {
		if r := &readings[i]; m.takes(r, name) {
			squares += (r.Number - m.Value) * (r.Number - m.Value)
		}
	}
	m.Standard = math.Sqrt(m.Standard*m.Standard + squares/(n-1)/n)
	return m, true
}

// takes reports whether a reading is one of the measurement: a number, and in
// the unit of the first.
func (m *measured) takes(r *record.Reading, name string) bool {
	return r.Measurement == name && r.Usable() && !math.IsNaN(r.Number) && !math.IsInf(r.Number, 0) &&
		(m.N == 0 || r.Unit == m.Unit)
}

func (m *measured) join(r *record.Reading) {
	if m.N == 0 {
		m.Unit, m.Decimals, m.first = r.Unit, r.Decimals, r
	}
	m.N++
	m.Decimals = max(m.Decimals, r.Decimals)
	m.Open = m.Open || r.Accuracy == 0
	m.Doubtful = m.Doubtful || r.State == record.Doubtful
	m.Standard = math.Max(m.Standard, standardOf(r))
}

func standardOf(r *record.Reading) float64 {
	if r.Accuracy > 0 {
		return r.Accuracy / 2
	}
	if r.High() > r.Low() { // written with ±: taken as expanded, k = 2
		return (r.High() - r.Low()) / 4
	}
	if r.Resolution > 0 {
		return r.Resolution / math.Sqrt(12)
	}
	if r.Decimals >= 0 && r.Decimals < len(lastDigits) {
		return lastDigits[r.Decimals]
	}
	return lastDigit(r.Decimals)
}

// lastDigit is the standard uncertainty of a number rounded to so many decimals.
func lastDigit(decimals int) float64 { return math.Pow(10, -float64(decimals)) / math.Sqrt(12) }

var lastDigits = func() (out [8]float64) {
	for decimals := range out {
		out[decimals] = lastDigit(decimals)
	}
	return out
}()

// mass returns the mass of the animal: the measurement of that name, or the net of
// the weighing.
func (t *taken) mass(name string) (measured, bool) {
	m, ok := t.measurement(name)
	if ok {
		return m, true
	}
	if t.net == nil || !t.net.Usable() {
		return m, false
	}
	m.join(t.net)
	m.Value = t.net.Number
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
