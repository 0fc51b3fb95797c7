package statistics

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Moments are the size, mean and standard deviation (n − 1) of a sample.
type Moments struct {
	N        int
	Mean, SD float64
}

// MeanInterval returns the interval of the mean at a confidence (0.95), by
// Student's t with n − 1 degrees of freedom (Student 1908, Biometrika 6: 1–25);
// NaN for fewer than two values.
func MeanInterval(m Moments, confidence float64) (low, high float64) {
	if m.N < 2 {
		return math.NaN(), math.NaN()
	}
	half := studentQuantile(confidence, float64(m.N-1)) * m.SD / math.Sqrt(float64(m.N))
	return m.Mean - half, m.Mean + half
}

// Difference is the difference of two means with its interval.
type Difference struct {
	Value, Error float64 // second less first, and its standard error
	Freedom      float64
	Low, High    float64
}

// WelchDifference returns the mean of the second sample less that of the first,
// where their spreads may differ (Welch 1947, Biometrika 34: 28–35), with the
// degrees of freedom of Satterthwaite (1946, Biometrics Bull. 2: 110–114). The
// interval is NaN where one of the samples has fewer than two values or neither
// has any spread.
func WelchDifference(first, second Moments, confidence float64) Difference {
	d := Difference{Value: second.Mean - first.Mean, Error: math.NaN(), Freedom: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if first.N < 2 || second.N < 2 {
		return d
	}
	a, b := first.SD*first.SD/float64(first.N), second.SD*second.SD/float64(second.N)
	if d.Error = math.Sqrt(a + b); d.Error == 0 {
		return d
	}
	d.Freedom = (a + b) * (a + b) / (a*a/float64(first.N-1) + b*b/float64(second.N-1))
	half := studentQuantile(confidence, d.Freedom) * d.Error
	d.Low, d.High = d.Value-half, d.Value+half
	return d
}

// studentQuantile returns t such that so much of Student's distribution lies
// between −t and t. Tables of results ask for very many, so that it starts from
// the expansion of Abramowitz and Stegun (1964, 26.7.5) where that is good, and
// betters it by Halley's method: one step leaves the cube of the error.
func studentQuantile(confidence, freedom float64) float64 {
	p := (1 + confidence) / 2
	switch freedom { // two and three animals have the distribution in closed form
	case 1:
		return math.Tan(math.Pi * confidence / 2)
	case 2:
		return confidence / math.Sqrt(2*p*(1-p))
	}
	if !(freedom >= 3 && p <= 0.9995) {
		return StudentQuantile(p, freedom)
	}
	x := NormalQuantile(p)
	z := x * x
	t := x * (1 + ((z+1)/4+(((5*z+16)*z+3)/96+((((3*z+19)*z+17)*z-15)/384+((((79*z+776)*z+1482)*z-1920)*z-945)/92160/freedom)/freedom)/freedom)/freedom)
	if freedom >= 1000 {
		return t // the error is of the order of freedom⁻⁵
	}
	above, _ := math.Lgamma((freedom + 1) / 2)
	below, _ := math.Lgamma(freedom / 2)
	for range 10 {
		beyond := mathext.RegIncBeta(freedom/2, 0.5, freedom/(freedom+t*t)) / 2
		density := math.Exp(above-below-(freedom+1)/2*math.Log1p(t*t/freedom)) / math.Sqrt(freedom*math.Pi)
		step := (beyond - (1 - p)) / density
		t += step * (1 + step*t*(freedom+1)/(2*(freedom+t*t)))
		if math.Abs(step) < 1e-6*t {
			break
		}
	}
	return t
}
