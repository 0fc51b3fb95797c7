package statistics

import (
	"math"
	"testing"
)

// The quantiles of the intervals are those of the inverse incomplete beta
// function, which itself is good to nine digits where the freedom is large.
func TestStudentOfIntervals(t *testing.T) {
	for _, confidence := range []float64{0.5, 0.8, 0.9, 0.95, 0.99, 0.999, 0.9999} {
		for freedom := 1.0; freedom < 1e6; freedom *= 1.07 {
			got, want := studentQuantile(confidence, freedom), StudentQuantile((1+confidence)/2, freedom)
			near := 1e-12
			if freedom > 500 {
				near = 1e-8
			}
			if !(math.Abs(got-want) <= near*want) {
				t.Errorf("%g with %g degrees of freedom: %.16g, want %.16g", confidence, freedom, got, want)
			}
		}
	}
}
