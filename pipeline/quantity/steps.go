package quantity

import "math"

// Steps gathers in which steps the numbers of a column were written. The zero
// value is ready. Neither the order nor the number of equal values tells
// anything.
type Steps struct {
	n      int
	finest int // most digits after the point
	of     [len(candidates)]int
	seen   map[float64]bool // different values, up to the most that are asked for
}

// candidates are graduations of calipers, rulers and scales (common practice),
// coarsest first. A column that is written finer tells none.
var candidates = [...]float64{
	50, 25, 20, 10, 5, 2.5, 2, 1, 0.5, 0.25, 0.2, 0.1, 0.05, 0.025, 0.02, 0.01, 0.005, 0.002, 0.001, 0.0005, 0.0001,
}

const (
	maxSeen  = 64
	maxOff   = 20  // one value in so many may lie between the steps
	unlikely = 100 // a coarser step is taken if chance gives it once in so many columns
	minSeen  = 2
)

// Add takes one number with its digits after the point into account. Zero is a
// multiple of everything and tells nothing.
func (s *Steps) Add(v float64, decimals int) {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return
	}
	s.see(v)
	s.n++
	s.finest = max(s.finest, decimals)
	for i, c := range candidates {
		if marks := v / c; math.Abs(marks-math.Round(marks)) < 1e-6 {
			s.of[i]++
		}
	}
}

// Join takes the numbers of another into account.
func (s *Steps) Join(o *Steps) {
	s.n += o.n
	s.finest = max(s.finest, o.finest)
	for i, n := range o.of {
		s.of[i] += n
	}
	for v := range o.seen {
		s.see(v)
	}
}

// see takes note of a value, among others.
func (s *Steps) see(v float64) {
	if s.seen == nil {
		s.seen = map[float64]bool{}
	}
	if len(s.seen) < maxSeen {
		s.seen[v] = true
	}
}

// N is the number of values.
func (s *Steps) N() int { return s.n }

// Step returns the step in which the column is written: 0.5 for 29, 30.5, 31. It
// is the largest that all but one value in twenty are multiples of, and where it
// is coarser than the last place written, that so many different values are so
// by chance less than once in a hundred times. A single value tells no step; the
// result is then 0, as it is where the values are multiples of none.
func (s *Steps) Step() float64 {
	if s.n < minSeen {
		return 0
	}
	last := math.Pow10(-s.finest)
	for i, c := range candidates {
		off := s.n - s.of[i]
		if off*maxOff > s.n {
			continue
		}
		if c <= last*(1+1e-9) || math.Pow(c/last, float64(len(s.seen))) >= unlikely {
			return c
		}
	}
	return 0
}
