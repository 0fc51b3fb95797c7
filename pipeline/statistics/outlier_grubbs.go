package statistics

import (
	"errors"
	"math"
)

// ErrTooFew says that there are too few values for what was asked.
var ErrTooFew = errors.New("too few values")

// GrubbsResult is the outcome of Grubbs' test.
type GrubbsResult struct {
	Index    int     // of the value farthest from the mean
	G        float64 // its distance from the mean in standard deviations
	Critical float64 // two-sided: either tail may hold the outlier
	OneSided float64 // critical value where the tail was fixed beforehand
}

// Grubbs tests whether the value farthest from the mean is an outlier of a
// normal sample at level alpha (Grubbs 1969, Technometrics 11: 1–21; critical
// value from Student's t as in the NIST/SEMATECH e-Handbook, 1.3.5.17.1). It
// needs three values and some spread.
func Grubbs(x []float64, alpha float64) (GrubbsResult, error) {
	n := len(x)
	if n < 3 {
		return GrubbsResult{}, ErrTooFew
	}
	mean, sd := MeanSD(x)
	if !(sd > 0) {
		return GrubbsResult{}, errors.New("no spread")
	}
	r := GrubbsResult{
		Critical: GrubbsCritical(n, alpha/2),
		OneSided: GrubbsCritical(n, alpha),
	}
	r.Index, r.G = farthest(x, mean, sd)
	return r, nil
}

// GrubbsCritical returns the critical value of Grubbs' G for n values, one tail
// at level alpha. It is NaN for n below 3.
func GrubbsCritical(n int, alpha float64) float64 {
	if n < 3 {
		return math.NaN()
	}
	f := float64(n)
	t := StudentQuantile(1-alpha/f, f-2)
	return (f - 1) / math.Sqrt(f) * math.Sqrt(t*t/(f-2+t*t))
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
