package statistics

import (
	"fmt"
	"math"
)

// Bounded is a figure with its interval.
type Bounded struct{ Value, Low, High float64 }

// Limits is the agreement of two ways of measuring the same subjects: the
// mean difference (bias), its standard deviation, and the limits between
// which a further difference falls at the level asked for, each with its interval.
type Limits struct {
	Subjects     int
	Bias         Bounded
	SD           float64 // of the differences between single readings
	Lower, Upper Bounded
	// Slope is the change of the difference for each unit of the mean, with
	// its standard error: away from 0 the bias grows with size and one pair
	// of limits does not hold for all sizes. NaN with fewer than 3 subjects.
	Slope, SlopeSE float64
}

// BlandAltman computes bias and limits of agreement of first minus second, one
// pair a subject (Bland and Altman 1986, Lancet i:307–310). With few subjects
// bias ± 1.96 SD is too narrow, so the limits are those that a further difference
// lies between, bias ± t(n−1)·√(1+1/n)·SD (the prediction interval of a normal
// sample). Their own interval has the standard error SD·√(1/n + k²/2(n−1)) of Bland
// and Altman (1999, Statistical Methods in Medical Research 8:135–160), k being
// the factor of SD. Pairs with a not-a-number are left out.
func BlandAltman(first, second []float64, level float64) (Limits, error) {
	if len(first) != len(second) {
		return Limits{}, fmt.Errorf("%d first values and %d second values", len(first), len(second))
	}
	a, b := make([][]float64, len(first)), make([][]float64, len(second))
	for i := range first {
		a[i], b[i] = first[i:i+1], second[i:i+1]
	}
	return BlandAltmanRepeated(a, b, level)
}

// BlandAltmanRepeated is BlandAltman for subjects that were read several times
// in one way or both; row i of each holds the readings of subject i. Means are
// compared, and the spread that the means took out is put back, so that the
// limits hold for single readings (Bland and Altman 1999, section 5.1; for
// unequal numbers of readings with the mean of 1/m in place of 1/m).
func BlandAltmanRepeated(first, second [][]float64, level float64) (Limits, error) {
	var l Limits
	if err := checkLevel(level); err != nil {
		return l, err
	}
	if len(first) != len(second) {
		return l, fmt.Errorf("%d subjects read first and %d read second", len(first), len(second))
	}
	var a, b spreadWithin
	var diffs, means []float64
	for i := range first {
		x, y := numbersOf(first[i]), numbersOf(second[i])
		if len(x) == 0 || len(y) == 0 {
			continue
		}
		a.add(x)
		b.add(y)
		diffs = append(diffs, Mean(x)-Mean(y))
		means = append(means, (Mean(x)+Mean(y))/2)
	}
	n := float64(len(diffs))
	l.Subjects = len(diffs)
	if n < 2 {
		return l, fmt.Errorf("%w: %d subjects read both ways, want 2 or more", ErrTooFewReadings, l.Subjects)
	}
	bias := Mean(diffs)
	between := squaresAbout(diffs, bias) / (n - 1)
	va, wa := a.restored(n)
	vb, wb := b.restored(n)
	l.SD = math.Sqrt(between + va + vb)
	// Variance of the estimated SD, by the delta method from those of its parts.
	var ofSD float64
	if l.SD > 0 {
		ofSD = (2*between*between/(n-1) + wa + wb) / (4 * l.SD * l.SD)
	}
	t := StudentQuantile(1-(1-level)/2, n-1)
	half := t * math.Sqrt(between/n)
	k := t * math.Sqrt(1+1/n)
	edge := t * math.Sqrt(between/n+k*k*ofSD)
	about := func(v, h float64) Bounded { return Bounded{Value: v, Low: v - h, High: v + h} }
	l.Bias = about(bias, half)
	l.Lower, l.Upper = about(bias-k*l.SD, edge), about(bias+k*l.SD, edge)
	l.Slope, l.SlopeSE = slopeWithError(means, diffs)
	return l, nil
}

// spreadWithin gathers the variance within subjects and the mean of 1/m.
type spreadWithin struct{ squares, freedom, inverse float64 }

func (s *spreadWithin) add(x []float64) {
	s.squares += squaresAbout(x, Mean(x))
	s.freedom += float64(len(x) - 1)
	s.inverse += 1 / float64(len(x))
}

// restored returns the part of the variance that averaging took out, and the
// variance of that estimate.
func (s spreadWithin) restored(n float64) (part, variance float64) {
	if s.freedom == 0 {
		return 0, 0
	}
	v, share := s.squares/s.freedom, 1-s.inverse/n
	return share * v, share * share * 2 * v * v / s.freedom
}

// slopeWithError is the least squares slope of y on x and its standard error.
func slopeWithError(x, y []float64) (slope, se float64) {
	n := len(x)
	mx, my := Mean(x), Mean(y)
	xx := squaresAbout(x, mx)
	if n < 3 || xx == 0 {
		return math.NaN(), math.NaN()
	}
	var xy float64
	for i := range x {
		xy += (x[i] - mx) * (y[i] - my)
	}
	slope = xy / xx
	left := math.Max(squaresAbout(y, my)-slope*xy, 0)
	return slope, math.Sqrt(left / float64(n-2) / xx)
}
