package screen

import (
	"math"

	"spadefoot/pipeline/statistics"
)

// observerError is how one observer takes one measurement, on the log scale: the step is
// known apart (steps.go).
type observerError struct {
	repeat float64 // standard deviation of a repeat; 0 where there are too few repeats
	bias   float64 // how much more than the others it reads
	open   float64 // standard deviation of what is not known of the bias
	known  bool    // there are enough readings to estimate the bias
}

// observerErrors are those of one measurement.
type observerErrors struct {
	of     map[uint64]observerError // by hash of the observer
	repeat float64                  // of all of them; 0 where there are too few repeats
}

// repeatSum gathers the differences between repeats of one hand on one animal. It
// holds whole numbers, so that the order in which they come does not matter.
type repeatSum struct{ squares, freedom uint64 }

const (
	squareUnit  = 1e-12
	freedomUnit = 1e-9
	farRepeat   = 0.2 // relative difference beyond scatter, so a slip
	minFreedom  = 10  // repeats beyond the first from which a scatter is known
)

// add takes one of the m(m−1)/2 pairs of m repeats; together they count m − 1
// degrees of freedom.
func (r *repeatSum) add(d float64, m int) {
	if math.Abs(d) > farRepeat {
		return
	}
	r.squares += uint64(math.Round(d * d / float64(m) / squareUnit))
	r.freedom += uint64(math.Round(2 / float64(m) / freedomUnit))
}

func (r *repeatSum) merge(o *repeatSum) {
	r.squares += o.squares
	r.freedom += o.freedom
}

func (r *repeatSum) settle() (variance, freedom float64) {
	if r.freedom == 0 {
		return 0, 0
	}
	freedom = float64(r.freedom) * freedomUnit
	return float64(r.squares) * squareUnit / freedom, freedom
}

// repeatSums are those of the hands of one measurement.
type repeatSums struct {
	byObserver[repeatSum, *repeatSum]
}

// settle draws the variance of each hand towards that of all as if it were
// known from minFreedom repeats more, as variances with an inverse chi-square
// prior are (Gelman et al., Bayesian Data Analysis, 2.6).
func (r *repeatSums) settle() observerErrors {
	h := observerErrors{of: map[uint64]observerError{}}
	variance, freedom := r.all().settle()
	if freedom < minFreedom {
		return h
	}
	h.repeat = math.Sqrt(variance)
	for observer, s := range r.observers {
		own, nu := s.settle()
		h.of[observer] = observerError{repeat: math.Sqrt((nu*own + minFreedom*variance) / (nu + minFreedom))}
	}
	return h
}

// surelyBiased is the number of standard deviations from which a bias is taken out.
const surelyBiased = 2

// correction is the bias that is taken out of a reading: 0 where it may be none.
func (e observerError) correction() float64 {
	if !e.known || math.Abs(e.bias) <= surelyBiased*e.open {
		return 0
	}
	return e.bias
}

// rougher is by how much a hand repeats worse than the hands that a scale was
// learnt from, as a standard deviation of its own.
func (h *observerErrors) rougher(observer uint64) float64 {
	own := h.of[observer].repeat
	return math.Sqrt(max(0, own*own-h.repeat*h.repeat))
}

// learnErrors estimates how well observers repeat themselves, and their bias from the
// animals of all taxa: the median residual of a hand's animals from
// their lines, drawn to 0 by what is expected of bias before any animal is seen
// (the posterior mean of a normal mean, Gelman et al., 2.5).
func (f *fitted) learnErrors(s *Summary, shapes []shape) {
	f.errors = make(map[string]*observerErrors, len(s.measurements))
	for name, m := range s.measurements {
		h := m.repeats.settle()
		f.errors[name] = &h
	}
	for name, by := range residualsByObserver(shapes) {
		if len(by) < 2 {
			continue // nobody to differ from
		}
		h := f.errors[name]
		for observer, rest := range by {
			own := h.of[observer]
			spread := f.settings.BiasSpread
			own.open = spread
			if n := len(rest); n >= minByObserver {
				se := medianEfficiency * statistics.MADScale * statistics.RawMAD(rest) / math.Sqrt(float64(n))
				weight := spread * spread / (spread*spread + se*se)
				own.bias, own.open, own.known = weight*statistics.Median(rest), math.Sqrt(weight)*se, true
			}
			h.of[observer] = own
		}
	}
}

// residualsByObserver returns the residuals from the lines, on the log scale, by
// measurement and observer.
func residualsByObserver(shapes []shape) map[string]map[uint64][]float64 {
	out := map[string]map[uint64][]float64{}
	for _, sh := range shapes {
		m := sh.model
		for i := range sh.kept {
			o := &sh.kept[i]
			size := o.value(m.names[0])
			for j := 1; j < len(m.names) && o.observer != 0; j++ {
				l := &m.lines[j]
				if l.slope == 0 || l.n < firmlyMeasured {
					continue
				}
				rest := o.value(m.names[j]) - l.rise(size)
				c, scale := l.nearest(o.sex, rest)
				if d := rest - c; finite(d) && math.Abs(d) <= farFromLine*scale {
					if out[m.names[j]] == nil {
						out[m.names[j]] = map[uint64][]float64{}
					}
					out[m.names[j]][o.observer] = append(out[m.names[j]][o.observer], d)
				}
			}
		}
	}
	return out
}

// farFromLine is the number of robust standard deviations from which a residual
// shows a slip and not an observer.
const farFromLine = 4
