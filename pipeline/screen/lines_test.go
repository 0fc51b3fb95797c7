package screen

import (
	"strings"

	"spadefoot/pipeline/record/sorting"
)

// Allometry is the robust line of one log measurement on log size for one
// taxon, with the standardised major axis beside it.
type Allometry struct {
	Taxon       string
	Measurement string
	Size        string // the measurement that stands for size
	N           int
	Slope       float64
	Intercept   float64 // of all sexes together
	Scale       float64 // robust standard deviation of the log about the line
	AxisSlope   float64 // standardised major axis (Warton et al. 2006), outliers left out
	AxisLow     float64 // its 95 % interval
	AxisHigh    float64
	R2          float64
}

// Allometries lists the lines that a summary's captures are judged by, in the
// order of taxa and measurements. Measurements that were rarely taken together
// with the size are left out.
func (s *Summary) Allometries() []Allometry {
	var all []Allometry
	for _, m := range s.fit().models {
		for j := 1; j < len(m.names); j++ {
			l := &m.lines[j]
			if l.slope == 0 {
				continue
			}
			all = append(all, Allometry{Taxon: m.taxon, Measurement: m.names[j], Size: m.names[0], N: l.n, Slope: l.slope,
				Intercept: l.all, Scale: l.scale, AxisSlope: l.axis.Slope, AxisLow: l.axis.Low, AxisHigh: l.axis.High, R2: l.axis.R2})
		}
	}
	sorting.Func(all, func(a, b Allometry) int {
		if c := strings.Compare(a.Taxon, b.Taxon); c != 0 {
			return c
		}
		return strings.Compare(a.Measurement, b.Measurement)
	})
	return all
}
