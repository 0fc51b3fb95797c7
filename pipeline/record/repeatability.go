package record

import (
	"math"
	"strconv"
)

// Repeatability says how well one person's repeats of a measurement on one
// animal agree: the standard deviation of single repeats.
type Repeatability struct {
	Measurement string
	Observer    string  // "" for all without their own
	Standard    float64 // in the measurement's unit, or 0
	Relative    float64 // or as a fraction of the value
	Said        string  // in words, for remarks
}

// Find returns the repeatability of a measurement by an observer, or nil.
func (rs Repeats) Find(measurement, observer string) *Repeatability {
	var usual *Repeatability
	for i := range rs {
		switch r := &rs[i]; {
		case r.Measurement != measurement:
		case r.Observer == "":
			usual = r
		case r.Observer == observer:
			return r
		}
	}
	return usual
}

// Repeats is what a survey knows about its repeatability.
type Repeats []Repeatability

// Of is the standard deviation for a value, in its unit.
func (r *Repeatability) Of(value float64) float64 {
	if r.Standard > 0 {
		return r.Standard
	}
	return r.Relative * math.Abs(value)
}

// Expanded combines independent standard uncertainties in quadrature (JCGM
// 100:2008, 5.1.2), expands the sum with coverage factor 2 (6.2.1) and keeps two
// significant digits (7.2.6).
func Expanded(us ...float64) float64 {
	sum := 0.0
	for _, u := range us {
		sum += u * u
	}
	v, err := strconv.ParseFloat(strconv.FormatFloat(2*math.Sqrt(sum), 'e', 1, 64), 64)
	if err != nil {
		return 0
	}
	return v
}
