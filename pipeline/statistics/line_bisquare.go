package statistics

import "math"

// Tuning constants of Tukey's bisquare: 50 % breakdown for the S-estimate,
// 95 % efficiency at the normal for the M-estimate. They are the defaults of
// R's robustbase::lmrob.
const (
	bisquareS = 1.54764
	bisquareM = 4.685061
	halfRho   = 0.5
)

// bisquareRho is Tukey's loss, 0 at 0 and 1 from c on.
func bisquareRho(u, c float64) float64 {
	u /= c
	u *= u
	if u >= 1 {
		return 1
	}
	v := 1 - u
	return 1 - v*v*v
}

// bisquareWeight is the weight that goes with the loss, 1 at 0, 0 from c on.
func bisquareWeight(u, c float64) float64 {
	u /= c
	u *= u
	if u >= 1 {
		return 0
	}
	return (1 - u) * (1 - u)
}

// meanRho returns the sum of losses over n − lost, lost being the number of
// parameters fitted.
func meanRho(r []float64, s float64, lost int) float64 {
	var sum float64
	for _, v := range r {
		sum += bisquareRho(v/s, bisquareS)
	}
	return sum / float64(len(r)-lost)
}

// mScale solves meanRho(r, s) = 1/2 for s by fixed-point iteration from start,
// to a relative change of tol. It is 0 where too few residuals differ from 0
// for a solution.
func mScale(r []float64, start float64, lost, steps int, tol float64) float64 {
	if start <= 0 {
		start = 1.4826 * medianAbs(r)
	}
	live := 0
	for _, v := range r {
		if v != 0 {
			live++
		}
	}
	if float64(live) <= halfRho*float64(len(r)-lost) {
		return 0
	}
	if start == 0 {
		start = math.SmallestNonzeroFloat64
		for _, v := range r {
			start = max(start, math.Abs(v))
		}
	}
	s := start
	for range steps {
		next := s * math.Sqrt(meanRho(r, s, lost)/halfRho)
		if math.Abs(next-s) <= tol*s {
			return next
		}
		s = next
	}
	return s
}

func medianAbs(r []float64) float64 {
	d := make([]float64, len(r))
	for i, v := range r {
		d[i] = math.Abs(v)
	}
	return medianInPlace(d)
}
