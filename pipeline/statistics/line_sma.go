package statistics

import (
	"math"
)

// MajorAxis is a standardised major axis with the interval of its slope.
type MajorAxis struct {
	Line
	Low, High float64 // limits of the slope
	R2        float64 // squared correlation of x and y
	N         int
}

// StandardisedMajorAxis returns the line of slope sign(r)·sd(y)/sd(x) through
// the means, with the slope's interval at the given confidence (0.95):
// b·(√(B+1) ∓ √B), B = (1−r²)/(n−2)·F(1, n−2) (Warton, Wright, Falster and
// Westoby 2006, Biol. Rev. 81: 259–291, table 3). It needs three points and
// spread in both directions. It is not robust: leave outliers out first.
func StandardisedMajorAxis(x, y []float64, confidence float64) (MajorAxis, error) {
	if len(x) != len(y) {
		return MajorAxis{}, errUnequal
	}
	n := len(x)
	if n < 3 {
		return MajorAxis{}, ErrTooFew
	}
	_, x, y = sortedPairs(x, y)
	mx, sx := MeanSD(x)
	my, sy := MeanSD(y)
	if !(sx > 0) || !(sy > 0) {
		return MajorAxis{}, errNoSpread
	}
	r := correlation(x, y)
	b := math.Copysign(sy/sx, r)
	f := FQuantile(confidence, 1, float64(n-2))
	bb := max(0, 1-r*r) / float64(n-2) * f
	low, high := b*(math.Sqrt(bb+1)-math.Sqrt(bb)), b*(math.Sqrt(bb+1)+math.Sqrt(bb))
	return MajorAxis{
		Line: Line{Intercept: my - b*mx, Slope: b},
		Low:  min(low, high), High: max(low, high),
		R2: r * r, N: n,
	}, nil
}
