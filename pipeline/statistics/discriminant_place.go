package statistics

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
)

// Placement is where one case is among the classes. Slices have one value a
// class.
type Placement struct {
	Class         int       // highest posterior; the first of equals
	Posterior     []float64 // with the priors of the discriminant
	LogLikelihood []float64 // log density, less the constant that all classes share
	Distance      []float64 // squared Mahalanobis distance
	// Typicality is the probability that a case of the class lies as far out
	// or farther. A posterior says which class is nearer, the typicality
	// whether the case belongs to it at all.
	Typicality []float64
}

// Place places one case. Its typicality is by the F distribution, which allows
// for the estimated mean and covariance (Hotelling 1931: D²·n/(n+1)·(f-p+1)/pf
// with f degrees of freedom of the covariance); where f is less than p, by
// chi-square with p. With shrinkage both are approximate.
//
// The case must not be among the training cases, or it draws its class towards
// itself: for those use Without.
func (d *Discriminant) Place(x []float64) (Placement, error) {
	if err := sameWidth([][]float64{x}, len(d.options.Blocks)); err != nil {
		return Placement{}, err
	}
	k := len(d.groups)
	pl := Placement{LogLikelihood: make([]float64, k), Distance: make([]float64, k), Typicality: make([]float64, k)}
	for g, m := range d.groups {
		dev, me := fromMean(x, m.mean), d.metricOf(g)
		pl.Distance[g] = floats.Dot(dev, me.times(dev))
		pl.LogLikelihood[g] = -(pl.Distance[g] + me.logDet) / 2
		pl.Typicality[g] = typicality(pl.Distance[g], m.n, me.freedom, float64(len(x)))
	}
	pl.Posterior = Posteriors(pl.LogLikelihood, d.priors)
	pl.Class = floats.MaxIdx(pl.Posterior)
	return pl, nil
}

// Posteriors returns the posterior of each class from log likelihoods and
// priors. Where no class has both a prior and a likelihood above 0 all are NaN.
func Posteriors(logLikelihood, priors []float64) []float64 {
	out := make([]float64, len(priors))
	for g := range out {
		out[g] = logLikelihood[g] + math.Log(priors[g])
	}
	total := floats.LogSumExp(out)
	for g := range out {
		out[g] = math.Exp(out[g] - total)
	}
	return out
}

func typicality(distance, n, freedom, p float64) float64 {
	rest := freedom - p + 1
	if rest < 1 {
		return ChiSquareSurvival(distance, p)
	}
	f := distance * n / (n + 1) * rest / (p * freedom)
	return FSurvival(f, p, rest)
}

// Without returns the discriminant refitted without one case of a class. Priors
// stay as they were.
func (d *Discriminant) Without(x []float64, class int) (*Discriminant, error) {
	if class < 0 || class >= len(d.groups) {
		return nil, fmt.Errorf("class %d, want 0 to %d", class, len(d.groups)-1)
	}
	if err := sameWidth([][]float64{x}, len(d.options.Blocks)); err != nil {
		return nil, err
	}
	if d.groups[class].n < 2 {
		return nil, fmt.Errorf("%w: class %d has no other", ErrTooFewCases, class)
	}
	out := *d
	out.groups = append([]classMoments(nil), d.groups...)
	out.groups[class] = d.groups[class].without(x)
	var err error
	out.metrics, err = out.fitMetrics(out.groups, d.metrics, class)
	return &out, err
}

// Contribution splits the log likelihood ratio of class a over class b by
// column: above 0 speaks for a. The parts add up to the ratio, less the part of
// the determinants where covariances differ.
//
// With a frame the parts are of its rows, each a weighting of the columns; its
// columns must be orthonormal, or the parts don't add up. Nil means the
// columns themselves.
func (d *Discriminant) Contribution(x []float64, a, b int, frame [][]float64) []float64 {
	ma, mb := d.groups[a].mean, d.groups[b].mean
	if !d.options.Quadratic {
		middle := make([]float64, len(x))
		for j := range x {
			middle[j] = x[j] - (ma[j]+mb[j])/2
		}
		weight := framed(d.metrics[0].times(fromMean(ma, mb)), frame)
		parts := framed(middle, frame)
		floats.Mul(parts, weight)
		return parts
	}
	da, db := fromMean(x, ma), fromMean(x, mb)
	parts := framed(db, frame)
	floats.Mul(parts, framed(d.metrics[b].times(db), frame))
	minus := framed(da, frame)
	floats.Mul(minus, framed(d.metrics[a].times(da), frame))
	floats.Sub(parts, minus)
	floats.Scale(.5, parts)
	return parts
}

func framed(v []float64, frame [][]float64) []float64 {
	if frame == nil {
		return append([]float64(nil), v...)
	}
	out := make([]float64, len(frame))
	for r, row := range frame {
		out[r] = floats.Dot(row, v)
	}
	return out
}

// DistanceParts splits the squared distance of a case from a class by column,
// or by the rows of a frame as in Contribution. The parts add up to the
// distance; a part can be below 0 where columns go together.
func (d *Discriminant) DistanceParts(x []float64, class int, frame [][]float64) []float64 {
	dev := fromMean(x, d.groups[class].mean)
	parts := framed(dev, frame)
	floats.Mul(parts, framed(d.metricOf(class).times(dev), frame))
	return parts
}
