package statistics

import "fmt"

// What only tests call.

// maxStarts is how many pairs of points the S-estimate starts from, chosen by a
// fixed seed, where there are more.
const maxStarts = 1000

// MMLine fits a line by MM-estimation (Yohai 1987, Ann. Stat. 15: 642–656): an
// S-estimate of 50 % breakdown, searched from exact fits to pairs of points
// and from Theil and Sen's line and refined as in Salibian-Barrera and Yohai
// (2006, J. Comput. Graph. Stat. 15: 414–427), fixes the scale; an M-estimate
// of 95 % efficiency from there gives the line. Loss and constants are
// lmrob's defaults. It needs four points and two different x.
func MMLine(x, y []float64) (RobustLine, error) {
	return MMLineBy(x, y, LineSearch{Starts: maxStarts, Kept: 8, Tolerance: 1e-13})
}

// TheilSen returns the line whose slope is the median of the slopes between all
// pairs of points and whose intercept is the median of y − slope·x (Theil
// 1950; Sen 1968, J. Am. Stat. Assoc. 63: 1379–1389). Pairs with equal x are
// left out. Beyond 500,000 pairs it takes that many, chosen by a fixed seed.
// It needs two points with different x.
func TheilSen(x, y []float64) (Line, error) {
	if len(x) != len(y) {
		return Line{}, errUnequal
	}
	if len(x) < 2 {
		return Line{}, ErrTooFew
	}
	_, xs, ys := sortedPairs(x, y)
	return theilSen(xs, ys, 500_000)
}

// MAD returns the median absolute deviation from the median times MADScale. It
// is NaN for an empty slice.
func MAD(x []float64) float64 { return MADScale * RawMAD(x) }

// Add takes a unit in.
func (s *RatioSums) Add(x, y float64) {
	s.N++
	s.X, s.Y, s.XX, s.XY, s.YY = s.X+x, s.Y+y, s.XX+x*x, s.XY+x*y, s.YY+y*y
}

// LedoitWolf estimates a covariance by shrinking the sample covariance (divisor
// n, about the column means) towards the mean variance times the identity:
// (1-δ)·S + δ·μ·I, row by row, with the intensity δ in 0…1 that is the best in
// expected squared error (Ledoit and Wolf 2004, Journal of Multivariate Analysis
// 88:365–411). One row a case. It fails on fewer than 2 rows, no columns, and
// rows of unequal length.
func LedoitWolf(rows [][]float64) (covariance []float64, shrinkage float64, err error) {
	if len(rows) < 2 {
		return nil, 0, fmt.Errorf("%w: %d cases, want 2 or more", ErrTooFewCases, len(rows))
	}
	p := len(rows[0])
	if err := sameWidth(rows, p); err != nil {
		return nil, 0, err
	}
	m := classMomentsOf(rows, p)
	ones := make([]float64, p)
	for j := range ones {
		ones[j] = 1
	}
	s := m.second
	shrinkage = intensity(m.n, s, m.fourth, ones)
	return shrunkTo(s, m.n, ones, shrinkage), shrinkage, nil
}
