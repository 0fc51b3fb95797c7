package statistics

import (
	"math"
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
// between −t and t.
func studentQuantile(confidence, freedom float64) float64 {
	return StudentQuantile((1+confidence)/2, freedom)
}
