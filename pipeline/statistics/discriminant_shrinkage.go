package statistics

import (
	"errors"
	"fmt"
	"math"
)

// ErrFlat is wrapped by the errors of the discriminant functions when a
// covariance can't be inverted: a column is constant, one follows from the
// others, or there are too few cases for so many columns.
var ErrFlat = errors.New("covariance is singular")

// intensity is the shrinkage of Ledoit and Wolf from the second and fourth
// moments of n centred cases, after each column is divided by its scale.
func intensity(n float64, second, fourth, scale []float64) float64 {
	p := len(scale)
	var trace, squares, fourths float64
	for j := range scale {
		trace += second[j*p+j] / (scale[j] * scale[j]) / n
		for k := range scale {
			v := second[j*p+k] / (scale[j] * scale[k]) / n
			squares += v * v
			fourths += fourth[j*p+k] / (scale[j] * scale[j] * scale[k] * scale[k])
		}
	}
	apart := squares - trace*trace/float64(p) // squared distance of S from μI
	noise := (fourths/n - squares) / n        // expected squared error of S
	if !(noise > 0) || !(apart > 0) {
		return 0
	}
	return math.Min(noise/apart, 1)
}

// shrunkTo is (1-δ)·S + δ·μ·I in the scaled columns, brought back to the columns
// as they were; S is second over the divisor and μ its mean scaled variance.
func shrunkTo(second []float64, divisor float64, scale []float64, shrinkage float64) []float64 {
	p := len(scale)
	var mu float64
	for j := range scale {
		mu += second[j*p+j] / divisor / (scale[j] * scale[j]) / float64(p)
	}
	c := make([]float64, p*p)
	for j := range scale {
		for k := j; k < p; k++ {
			v := (1 - shrinkage) * second[j*p+k] / divisor
			if j == k {
				v += shrinkage * mu * scale[j] * scale[j]
			}
			c[j*p+k], c[k*p+j] = v, v
		}
	}
	return c
}

// blockScales gives each column the root mean variance of its block.
func blockScales(second []float64, divisor float64, blocks []int) ([]float64, error) {
	p := len(blocks)
	sum, count := map[int]float64{}, map[int]float64{}
	for j, b := range blocks {
		sum[b] += second[j*p+j] / divisor
		count[b]++
	}
	scale := make([]float64, p)
	for j, b := range blocks {
		scale[j] = math.Sqrt(sum[b] / count[b])
		if !(scale[j] > 0) {
			return nil, fmt.Errorf("%w: column %d does not vary within classes", ErrFlat, j+1)
		}
	}
	return scale, nil
}

// metric is an inverted covariance.
type metric struct {
	inverse   []float64 // row by row
	logDet    float64
	shrinkage float64
	freedom   float64 // of the covariance before shrinking
}

func newMetric(cov []float64, p int, shrinkage, freedom float64) (metric, error) {
	inverse, _, logDet, ok := inverted(cov, p, 1e14)
	if !ok {
		return metric{}, ErrFlat
	}
	return metric{inverse: inverse, logDet: logDet, shrinkage: shrinkage, freedom: freedom}, nil
}

// times returns the inverted covariance times d.
func (m metric) times(d []float64) []float64 {
	out := make([]float64, len(d))
	for j := range d {
		for k, v := range d {
			out[j] += m.inverse[j*len(d)+k] * v
		}
	}
	return out
}
