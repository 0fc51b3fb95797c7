package statistics

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// The distributions that tests and intervals ask, by their incomplete beta and
// gamma functions (Abramowitz and Stegun 1964, Handbook of Mathematical
// Functions, 26.4 to 26.6). Degrees of freedom are above 0; a probability
// outside 0…1 has the quantile NaN.

// NormalQuantile returns the quantile of the standard normal distribution.
func NormalQuantile(p float64) float64 {
	if !probable(p) {
		return math.NaN()
	}
	return mathext.NormalQuantile(p)
}

// StudentQuantile returns the quantile of Student's t.
func StudentQuantile(p, freedom float64) float64 {
	if !probable(p) {
		return math.NaN()
	}
	if p == 0.5 {
		return 0
	}
	t := mathext.InvRegIncBeta(freedom/2, 0.5, 2*min(p, 1-p))
	return math.Copysign(math.Sqrt(freedom*(1-t)/t), p-0.5)
}

// FQuantile returns the quantile of Fisher's F.
func FQuantile(p, first, second float64) float64 {
	if !probable(p) {
		return math.NaN()
	}
	y := mathext.InvRegIncBeta(first/2, second/2, p)
	return second * y / (first * (1 - y))
}

// FSurvival returns the probability that Fisher's F is above x.
func FSurvival(x, first, second float64) float64 {
	return 1 - mathext.RegIncBeta(first/2, second/2, first*x/(first*x+second))
}

// ChiSquareQuantile returns the quantile of chi-square.
func ChiSquareQuantile(p, freedom float64) float64 {
	if !probable(p) {
		return math.NaN()
	}
	return 2 * mathext.GammaIncRegInv(freedom/2, p)
}

// ChiSquareSurvival returns the probability that chi-square is above x.
func ChiSquareSurvival(x, freedom float64) float64 {
	if x < 0 {
		return 1
	}
	return mathext.GammaIncRegComp(freedom/2, x/2)
}

func probable(p float64) bool { return p >= 0 && p <= 1 }
