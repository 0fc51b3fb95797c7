package statistics

import (
	"errors"
	"fmt"
	"math"
)

// ErrTooFewCases is wrapped by the errors of the discriminant functions when a
// class, or all classes together, have too few cases for the number of columns.
var ErrTooFewCases = errors.New("too few cases")

// DiscriminantOptions says how classes are told apart.
type DiscriminantOptions struct {
	// Quadratic gives each class its own covariance; else one is pooled over
	// the classes.
	Quadratic bool
	// Shrink shrinks the covariances (Ledoit and Wolf 2004) in columns that
	// are first divided by their standard deviation within classes, so that
	// units don't matter. The divisor stays that of the unshrunk covariance.
	Shrink bool
	// Blocks, one number a column, names columns that are of one kind and
	// keep their variances in proportion: they share one standard deviation
	// when shrinking. Nil: each column has its own.
	Blocks []int
	// Priors, one a class, are scaled to the sum 1. Nil: the proportions of
	// the training cases.
	Priors []float64
}

// Discriminant tells classes apart by the normal density of each, linear or
// quadratic (Fisher 1936; Venables and Ripley 2002, Modern Applied Statistics
// with S, chapter 12, with the plug-in estimates). Classes are numbered from 0.
// It isn't changed by its methods and may be shared between goroutines.
type Discriminant struct {
	options DiscriminantOptions
	priors  []float64
	groups  []classMoments
	metrics []metric // one, or one a class if quadratic
}

// FitDiscriminant fits from one row a case and the class of each, 0…classes-1.
// Without shrinkage the pooled covariance needs as many cases as columns and
// classes together, and a quadratic one more than columns in each class; with
// it 2 in a class will do for quadratic. Every class needs a case.
func FitDiscriminant(rows [][]float64, class []int, classes int, o DiscriminantOptions) (*Discriminant, error) {
	if len(rows) != len(class) {
		return nil, fmt.Errorf("%d cases and %d class numbers", len(rows), len(class))
	}
	if classes < 1 || len(rows) == 0 {
		return nil, fmt.Errorf("%w: %d cases in %d classes", ErrTooFewCases, len(rows), classes)
	}
	p := len(rows[0])
	if err := sameWidth(rows, p); err != nil {
		return nil, err
	}
	if o.Blocks != nil && len(o.Blocks) != p {
		return nil, fmt.Errorf("%d blocks for %d columns", len(o.Blocks), p)
	}
	byClass := make([][][]float64, classes)
	for i, g := range class {
		if g < 0 || g >= classes {
			return nil, fmt.Errorf("case %d: class %d, want 0 to %d", i+1, g, classes-1)
		}
		byClass[g] = append(byClass[g], rows[i])
	}
	d := &Discriminant{options: o}
	if o.Blocks == nil {
		d.options.Blocks = make([]int, p)
		for j := range d.options.Blocks {
			d.options.Blocks[j] = j
		}
	}
	for g, members := range byClass {
		if len(members) == 0 {
			return nil, fmt.Errorf("%w: class %d has none", ErrTooFewCases, g)
		}
		d.groups = append(d.groups, classMomentsOf(members, p))
	}
	var err error
	if d.priors, err = d.priorsOf(o.Priors, len(rows)); err != nil {
		return nil, err
	}
	d.metrics, err = d.fitMetrics(d.groups, nil, -1)
	return d, err
}

func (d *Discriminant) priorsOf(given []float64, n int) ([]float64, error) {
	priors := make([]float64, len(d.groups))
	if given == nil {
		for g, m := range d.groups {
			priors[g] = m.n / float64(n)
		}
		return priors, nil
	}
	if len(given) != len(priors) {
		return nil, fmt.Errorf("%d priors for %d classes", len(given), len(priors))
	}
	var sum float64
	for g, v := range given {
		if !(v >= 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("prior %d is %v: want 0 or more", g+1, v)
		}
		sum += v
	}
	if sum == 0 {
		return nil, errors.New("all priors are 0")
	}
	for g, v := range given {
		priors[g] = v / sum
	}
	return priors, nil
}

// fitMetrics inverts the covariances of the groups. With old given, only that
// of the changed class is made anew where each class has its own.
func (d *Discriminant) fitMetrics(groups []classMoments, old []metric, changed int) ([]metric, error) {
	if !d.options.Quadratic {
		m, err := d.fitMetric(groups...)
		return []metric{m}, err
	}
	out := make([]metric, len(groups))
	copy(out, old)
	for g := range groups {
		if old != nil && g != changed {
			continue
		}
		m, err := d.fitMetric(groups[g])
		if err != nil {
			return nil, fmt.Errorf("class %d: %w", g, err)
		}
		out[g] = m
	}
	return out, nil
}

// fitMetric pools the groups into one covariance, shrinks it if that is asked
// for, and inverts it.
func (d *Discriminant) fitMetric(groups ...classMoments) (metric, error) {
	p := len(d.options.Blocks)
	second, fourth := make([]float64, p*p), make([]float64, p*p)
	var n float64
	for _, m := range groups {
		n += m.n
		for i := range second {
			second[i] += m.second[i]
			fourth[i] += m.fourth[i]
		}
	}
	freedom := n - float64(len(groups))
	least := 1.0
	if !d.options.Shrink {
		least = float64(p)
	}
	if freedom < least {
		return metric{}, fmt.Errorf("%w: %.0f in %d classes with %d columns", ErrTooFewCases, n, len(groups), p)
	}
	scale, err := blockScales(second, freedom, d.options.Blocks)
	if err != nil {
		return metric{}, err
	}
	var shrinkage float64
	if d.options.Shrink {
		shrinkage = intensity(n, second, fourth, scale)
	}
	return newMetric(shrunkTo(second, freedom, scale, shrinkage), p, shrinkage, freedom)
}

func (d *Discriminant) metricOf(class int) metric {
	if d.options.Quadratic {
		return d.metrics[class]
	}
	return d.metrics[0]
}

// Priors returns the priors in use, one a class.
func (d *Discriminant) Priors() []float64 { return append([]float64(nil), d.priors...) }

// Mean returns the mean of a class.
func (d *Discriminant) Mean(class int) []float64 {
	return append([]float64(nil), d.groups[class].mean...)
}

// Shrinkage returns the intensity in use for a class, 0 without shrinkage.
func (d *Discriminant) Shrinkage(class int) float64 { return d.metricOf(class).shrinkage }

func sameWidth(rows [][]float64, p int) error {
	if p == 0 {
		return errors.New("no columns")
	}
	for i, row := range rows {
		if len(row) != p {
			return fmt.Errorf("case %d has %d values, the first has %d", i+1, len(row), p)
		}
		if len(numbersOf(row)) != p {
			return fmt.Errorf("case %d holds a value that is not a number", i+1)
		}
	}
	return nil
}
