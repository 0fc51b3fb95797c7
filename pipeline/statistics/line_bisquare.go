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

// meanRho returns the sum of losses over n − 2, two being the parameters of a
// line.
func (f *lineFit) meanRho(s float64) float64 {
	var sum float64
	if per := 1 / (s * bisquareS); f.about { // a division takes as long as the rest
		sum = float64(len(f.r))
		for _, v := range f.r {
			u := v * per
			if u *= u; u < 1 {
				sum -= (1 - u) * (1 - u) * (1 - u)
			}
		}
	} else {
		for _, v := range f.r {
			sum += bisquareRho(v/s, bisquareS)
		}
	}
	return sum / float64(len(f.r)-2)
}

// mScale solves meanRho(s) = 1/2 for s by fixed-point iteration from start,
// to a relative change of tol. It is 0 where too few residuals differ from 0
// for a solution.
func (f *lineFit) mScale(start, tol float64) float64 {
	if start <= 0 {
		for i, v := range f.r {
			f.sizes[i] = math.Abs(v)
		}
		start = 1.4826 * medianInPlace(f.sizes)
	}
	live := 0
	for _, v := range f.r {
		if v != 0 {
			live++
		}
	}
	if float64(live) <= halfRho*float64(len(f.r)-2) {
		return 0
	}
	if start == 0 {
		start = math.SmallestNonzeroFloat64
		for _, v := range f.r {
			start = max(start, math.Abs(v))
		}
	}
	s := start
	for range 500 {
		next := s * math.Sqrt(f.meanRho(s)/halfRho)
		if math.Abs(next-s) <= tol*s {
			return next
		}
		s = next
	}
	return s
}
