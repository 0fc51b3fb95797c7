package statistics

import (
	"math"
	"slices"
)

// Sample is a multiset of numbers that merges exactly: the statistics of a
// merged sample are those of all its values, whatever the order in which they
// came. Values are kept with their counts, so that readings off a graduated
// instrument take little room. NaN is not kept. The zero Sample is empty and
// ready. Reading it from several goroutines is safe while nobody adds.
type Sample struct {
	counts map[float64]int
	n      int
}

// Add puts one value in.
func (s *Sample) Add(v float64) { s.addTimes(v, 1) }

// Merge puts every value of o in.
func (s *Sample) Merge(o *Sample) {
	if o == nil {
		return
	}
	for v, k := range o.counts {
		s.addTimes(v, k)
	}
}

func (s *Sample) addTimes(v float64, k int) {
	if math.IsNaN(v) {
		return
	}
	if s.counts == nil {
		s.counts = map[float64]int{}
	}
	s.counts[v] += k
	s.n += k
}

// Len is the number of values.
func (s *Sample) Len() int {
	if s == nil {
		return 0
	}
	return s.n
}

// Distinct is the number of different values.
func (s *Sample) Distinct() int { return len(s.counts) }

// Values gives all values in ascending order.
func (s *Sample) Values() []float64 {
	if s == nil {
		return nil
	}
	keys := make([]float64, 0, len(s.counts))
	for v := range s.counts {
		keys = append(keys, v)
	}
	slices.Sort(keys)
	all := make([]float64, 0, s.n)
	for _, v := range keys {
		for range s.counts[v] {
			all = append(all, v)
		}
	}
	return all
}

// Centre says where a sample lies and how wide it is.
type Centre struct {
	N      int
	Median float64
	RawMAD float64
	MeanAD float64
}

// Centre gives the median and both deviations of the sample; NaN if empty.
func (s *Sample) Centre() Centre {
	v := s.Values()
	m := Median(v)
	return Centre{N: len(v), Median: m, RawMAD: RawMAD(v), MeanAD: MeanAD(v, m)}
}

// Scale gives an estimate of the standard deviation and the name of the way it
// came about: the scaled MAD; where that is 0, as with heaped readings, the
// scaled mean absolute deviation (Iglewicz and Hoaglin 1993); and never less
// than floor, which is what the resolution of the readings alone would give.
func (c Centre) Scale(floor float64) (scale float64, way string) {
	scale, way = MADScale*c.RawMAD, "median absolute deviation"
	if scale == 0 {
		scale, way = MeanADScale*c.MeanAD, "mean absolute deviation"
	}
	if scale < floor {
		scale, way = floor, "resolution of the readings"
	}
	return scale, way
}
