package statistics

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
)

// MCD is a robust centre and covariance with what it made of each row.
type MCD struct {
	Centre     []float64   // p
	Covariance [][]float64 // p × p, reweighted, consistent at the normal
	Distance2  []float64   // squared robust distance of each row
	Kept       []bool      // rows within the 0.975 quantile of chi-square
	Best       []int       // rows of the subset of least determinant, ascending
	H          int
	LogDet     float64 // log determinant of that subset's covariance

	RawCentre     []float64
	RawCovariance [][]float64
}

// ErrSingular says that too many rows lie in one plane for a covariance.
var ErrSingular = errors.New("the rows lie in fewer dimensions than there are measurements")

// MCDOptions sets the share of rows that the subset holds (0.5 to 1; 0 means
// 0.75) and the number of random starts (0 means 500).
type MCDOptions struct {
	Share  float64
	Starts int
}

const (
	nestedSize  = 300 // rows of one group when there are many
	nestedMost  = 5   // groups
	keptSubsets = 10
)

// FastMCD finds the subset of h rows whose covariance has the least
// determinant by the FAST-MCD algorithm (Rousseeuw and Van Driessen 1999,
// Technometrics 41: 212–223), with one step of reweighting at the 0.975
// quantile of chi-square, factors for consistency (Croux and Haesbroeck 1999)
// and for small samples (Pison, Van Aelst and Willems 2002). Rows is n × p,
// n at least 2p+2 and no value missing. Starts come from a fixed seed over the
// rows in sorted order.
func FastMCD(rows [][]float64, o MCDOptions) (*MCD, error) {
	if len(rows) == 0 || len(rows[0]) == 0 {
		return nil, ErrTooFew
	}
	n, p := len(rows), len(rows[0])
	if n < 2*p+2 {
		return nil, ErrTooFew
	}
	for _, r := range rows {
		if len(r) != p {
			return nil, errUnequal
		}
	}
	if o.Share == 0 {
		o.Share = 0.75
	}
	if o.Starts == 0 {
		o.Starts = 500
	}
	o.Share = min(max(o.Share, 0.5), 1)
	order := rowOrder(rows)
	sorted := make([][]float64, n)
	for i, at := range order {
		sorted[i] = rows[at]
	}
	s := subsetSearch{rows: sorted, p: p, share: o.Share, draw: rand.New(rand.NewPCG(1999, 41))}
	best, err := s.best(o.Starts)
	if err != nil {
		return nil, err
	}
	return finish(sorted, order, best, o.Share)
}

// rowOrder sorts rows by their values.
func rowOrder(rows [][]float64) []int {
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return slices.Compare(rows[a], rows[b]) })
	return order
}

// finish applies the factors and reweights.
func finish(rows [][]float64, order []int, best *subset, share float64) (*MCD, error) {
	n, p, h := len(rows), len(rows[0]), len(best.rows)
	out := &MCD{H: h, LogDet: best.fit.logDet, Distance2: make([]float64, n), Kept: make([]bool, n)}
	for _, i := range best.rows {
		out.Best = append(out.Best, order[i])
	}
	slices.Sort(out.Best)

	raw := best.fit
	if h < n {
		raw.scale(consistency(p, float64(h)/float64(n)) * smallSample(rawHalf, rawMost, p, n, share))
	}
	out.RawCentre, out.RawCovariance = raw.mean, raw.matrix()
	cut := ChiSquareQuantile(0.975, float64(p))
	raw.factor()
	var kept []int
	for i, r := range rows {
		if raw.distance2(r) < cut {
			kept = append(kept, i)
		}
	}
	if len(kept) <= p {
		return nil, ErrSingular
	}
	again := momentsOf(rows, kept)
	if len(kept) < n {
		again.scale(consistency(p, float64(len(kept))/float64(n)))
		if h < n {
			again.scale(smallSample(againHalf, againMost, p, n, share))
		}
	}
	if !again.factor() {
		return nil, ErrSingular
	}
	out.Centre, out.Covariance = again.mean, again.matrix()
	for i, r := range rows {
		d := again.distance2(r)
		out.Distance2[order[i]] = d
		out.Kept[order[i]] = d < cut
	}
	if math.IsNaN(out.LogDet) {
		return nil, ErrSingular
	}
	return out, nil
}
