package statistics

import (
	"errors"
	"math"
	"slices"
)

// ErrTooFew says that there are too few values for what was asked.
var ErrTooFew = errors.New("too few values")

// ESDStep is one step of the generalised extreme Studentised deviate test.
type ESDStep struct {
	Index     int     // of the value taken away at this step
	Statistic float64 // R: its distance from the mean of what was left
	Critical  float64 // lambda
}

// GeneralisedESD looks for up to most outliers in a normal sample at level
// alpha (Rosner 1983, Technometrics 25: 165–172; NIST/SEMATECH e-Handbook
// 1.3.5.17.3). It gives every step and the number of outliers: the largest
// step whose statistic is above its critical value. It needs most+2 values.
func GeneralisedESD(x []float64, most int, alpha float64) (steps []ESDStep, outliers int, err error) {
	n := len(x)
	if most < 1 || n < most+2 {
		return nil, 0, ErrTooFew
	}
	left, index := slices.Clone(x), make([]int, n)
	for i := range index {
		index[i] = i
	}
	for i := range most {
		mean, sd := MeanSD(left)
		if !(sd > 0) {
			if i == 0 {
				return nil, 0, errors.New("no spread")
			}
			break
		}
		at, r := farthest(left, mean, sd)
		step := ESDStep{Index: index[at], Statistic: r, Critical: ESDCritical(n, i+1, alpha)}
		steps = append(steps, step)
		if step.Statistic > step.Critical {
			outliers = i + 1
		}
		left, index = slices.Delete(left, at, at+1), slices.Delete(index, at, at+1)
	}
	return steps, outliers, nil
}

// ESDCritical returns Rosner's lambda for step i (from 1) of a sample of n.
func ESDCritical(n, i int, alpha float64) float64 {
	m := float64(n - i + 1) // values left before the step
	if m < 3 {
		return math.NaN()
	}
	t := StudentQuantile(1-alpha/(2*m), m-2)
	return (m - 1) * t / math.Sqrt((m-2+t*t)*m)
}

// farthest returns the index of the value farthest from mean and its distance in
// units of sd; of equals the first.
func farthest(x []float64, mean, sd float64) (int, float64) {
	at, g := 0, -1.0
	for i, v := range x {
		if d := math.Abs(v-mean) / sd; d > g {
			at, g = i, d
		}
	}
	return at, g
}
