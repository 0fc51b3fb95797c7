package statistics

import "math"

// RatioSums are sums over units of sampling, such as nights: of the effort x and
// of what it gave, y. They are added up to merge.
type RatioSums struct {
	N                int
	X, Y, XX, XY, YY float64
}

// Ratio returns the sum of y by the sum of x, with an interval at a confidence
// (0.95): the variance is that of y − Rx between units by the square of the mean
// effort (Cochran 1977, Sampling Techniques, 3rd ed., 6.4, without the
// correction for a finite population), and t has n − 1 degrees of freedom. With
// the same effort in every unit it is the interval of the mean. The interval is
// NaN for fewer than two units, all of it where there was no effort.
func (s RatioSums) Ratio(confidence float64) (ratio, low, high float64) {
	if !(s.X > 0) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	ratio = s.Y / s.X
	if s.N < 2 {
		return ratio, math.NaN(), math.NaN()
	}
	n := float64(s.N)
	residual := max(0, s.YY-2*ratio*s.XY+ratio*ratio*s.XX) / (n - 1)
	half := studentQuantile(confidence, n-1) * math.Sqrt(residual/n) / (s.X / n)
	return ratio, ratio - half, ratio + half
}
