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
	Open     bool // the accuracy of a reading is not known
	Doubtful bool // the writer doubted one of the readings
}

// measurementOf returns the mean of the usable readings of a measurement; none of a
// row that stands for several animals. Its
// uncertainty joins that of the instrument, which repeats don't lessen, and the
// standard error of the repeats. A reading with no stated accuracy has that of
// its last digit.
func measurementOf(c *record.Capture, name string) (m measured, ok bool) {
	if c.Several() {
		return m, false
	}
	return meanOf(c.Readings, name)
}

// meanOf returns what measurementOf does of readings of one animal.
func meanOf(readings []record.Reading, name string) (m measured, ok bool) {
	var sum float64
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
		m.Unit, m.Decimals, m.From = r.Unit, r.Decimals, r.From()
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

// massOf returns the mass of the animal: the measurement of that name, or the net
// of the weighing.
func massOf(c *record.Capture, name string) (measured, bool) {
	if m, ok := measurementOf(c, name); ok {
		return m, true
	}
	if c.Several() || c.Weighing == nil || c.Weighing.Net == nil || !c.Weighing.Net.Usable() {
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
