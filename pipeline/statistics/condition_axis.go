package statistics

import (
	"fmt"
	"math"
)

// BodyAxis is how mass follows length in one group, on natural logarithms: the
// standardised major axis and the least squares line through the same points.
type BodyAxis struct {
	N           int
	Centre      float64 // arithmetic mean of the lengths, the standard length of the index
	Correlation float64 // of log mass and log length
	// Slope of the standardised major axis, sign(r)·SD(log mass)/SD(log length),
	// with its interval; see StandardisedMajorAxis.
	Slope   Bounded
	SlopeSE float64 // b·√((1−r²)/(n−2)), Warton et al. 2006, table 2
	// Intercept, Rise and Scale are those of the least squares line; Scale
	// is the residual standard deviation with n-2 degrees of freedom.
	Intercept, Rise, Scale float64

	// LogMean and LogSquares are of the log lengths: their mean, and their sum
	// of squares about it.
	LogMean, LogSquares float64
}

// FitBodyAxis fits mass to length, one pair an animal, both above 0. It fails
// on slices of unequal length, on a value that isn't above 0, on fewer than 3
// animals, and where either does not vary. It isn't robust: leave doubtful
// animals out first. The order of the animals does not matter.
func FitBodyAxis(length, mass []float64, level float64) (BodyAxis, error) {
	var a BodyAxis
	if err := checkLevel(level); err != nil {
		return a, err
	}
	n := len(length)
	if n != len(mass) {
		return a, fmt.Errorf("%d lengths and %d masses", n, len(mass))
	}
	if n < 3 {
		return a, fmt.Errorf("%w: %d animals with length and mass, want 3 or more", ErrTooFewReadings, n)
	}
	x, y := make([]float64, n), make([]float64, n)
	for i := range length {
		if !aboveZero(length[i]) || !aboveZero(mass[i]) {
			return a, fmt.Errorf("animal %d: length %v and mass %v: want both above 0", i+1, length[i], mass[i])
		}
		x[i], y[i] = math.Log(length[i]), math.Log(mass[i])
	}
	order, x, y := sortedPairs(x, y)
	axis, err := StandardisedMajorAxis(x, y, level)
	if err != nil {
		return a, fmt.Errorf("%d animals of one length or one mass: %w", n, err)
	}
	a.N, a.Centre = n, Mean(pick(length, order))
	a.Slope = Bounded{Value: axis.Slope, Low: axis.Low, High: axis.High}
	a.Correlation = correlation(x, y)
	least := regression(x, y)
	a.Intercept, a.Rise = least.Intercept, least.Slope
	var left float64
	for i := range x {
		r := y[i] - a.Intercept - a.Rise*x[i]
		left += r * r
	}
	a.Scale = math.Sqrt(left / float64(n-2))
	a.LogMean = Mean(x)
	a.LogSquares = squaresAbout(x, a.LogMean)
	a.SlopeSE = math.Abs(axis.Slope) * math.Sqrt((1-a.Correlation*a.Correlation)/float64(n-2))
	return a, nil
}

// ScaledMass is the scaled mass index of Peig and Green (2009, Oikos
// 118:1883–1891): the mass that the animal would have at the standard length,
// M·(L0/L)^b with b the slope of the standardised major axis. Unit as mass.
func (a BodyAxis) ScaledMass(length, mass float64) float64 {
	return mass * math.Pow(a.Centre/length, a.Slope.Value)
}

// ScaledError is the relative standard uncertainty that the slope leaves in the
// index at a length: |log(L0/L)| standard errors of it.
func (a BodyAxis) ScaledError(length float64) float64 {
	return a.SlopeSE * math.Abs(math.Log(a.Centre/length))
}

// ResidualError is the standard error of the height of the least squares line at
// a length: s·√(1/n + (x − x̄)²/Σ(x − x̄)²).
func (a BodyAxis) ResidualError(length float64) float64 {
	d := math.Log(length) - a.LogMean
	return a.Scale * math.Sqrt(1/float64(a.N)+d*d/a.LogSquares)
}

// Residual is the residual index: log mass less the least squares line, in
// natural logarithms (0.1 is about a tenth heavier than expected).
func (a BodyAxis) Residual(length, mass float64) float64 {
	return math.Log(mass) - a.Intercept - a.Rise*math.Log(length)
}

func aboveZero(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
