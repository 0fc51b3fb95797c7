package season

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/statistics"
)

// Values are counted in whole millionths of their unit, so that sums do not
// depend on the order in which they came.
const millionth = 1e-6

// value is a number in millionths.
type value int64

// leftOut is in the place of a value that is in doubt.
const leftOut value = math.MaxInt64

func valueOf(x float64) (value, bool) {
	v := math.Round(x / millionth)
	return value(v), math.Abs(v) < 1<<53
}

func (v value) number() float64 { return float64(v) / 1e6 }

// spread are the values of a group, each with the number of animals that have it,
// and how many were left out. They are in ascending order, and each is there once.
type spread struct {
	values  []valued
	spare   []valued
	n       int
	leftOut int
}

type valued struct {
	value value
	n     int
}

// add takes values in ascending order in, each once.
func (s *spread) add(values []valued) {
	if k := len(values) - 1; k >= 0 && values[k].value == leftOut {
		s.leftOut += values[k].n
		values = values[:k]
	}
	for _, v := range values {
		s.n += v.n
	}
	s.values, s.spare = appendMerged(slices.Grow(s.spare[:0], len(s.values)+len(values)), s.values, values), s.values
}

// merge takes the values of another in.
func (s *spread) merge(o *spread) {
	s.add(o.values)
	s.leftOut += o.leftOut
}

// appendMerged merges two lists of values in ascending order, each once, into such a
// list.
func appendMerged(out, a, b []valued) []valued {
	for len(a) > 0 && len(b) > 0 {
		switch next := a[0]; {
		case b[0].value < next.value:
			out, b = append(out, b[0]), b[1:]
		case b[0].value == next.value:
			next.n += b[0].n
			out, a, b = append(out, next), a[1:], b[1:]
		default:
			out, a = append(out, next), a[1:]
		}
	}
	return append(append(out, a...), b...)
}

// appendCounts counts values, which are put into order. Every value of a survey
// comes here, so that package slices sorts.
func appendCounts(out []valued, values []value) []valued {
	slices.Sort(values)
	for _, v := range values {
		if k := len(out) - 1; k >= 0 && out[k].value == v {
			out[k].n++
			continue
		}
		out = append(out, valued{v, 1})
	}
	return out
}

// inOrder puts counted values into ascending order, each once.
func inOrder(all []valued) []valued {
	slices.SortFunc(all, func(a, b valued) int { return cmp.Compare(a.value, b.value) })
	out := all[:0]
	for _, v := range all {
		if k := len(out) - 1; k >= 0 && out[k].value == v.value {
			out[k].n += v.n
			continue
		}
		out = append(out, v)
	}
	return out
}

// moments returns n, mean and standard deviation; the latter is NaN for fewer
// than two values.
func (s *spread) moments() statistics.Moments {
	m := statistics.Moments{N: s.n, Mean: math.NaN(), SD: math.NaN()}
	if s.n == 0 {
		return m
	}
	var sum float64
	for _, v := range s.values {
		sum += v.value.number() * float64(v.n)
	}
	m.Mean = sum / float64(s.n)
	if s.n < 2 {
		return m
	}
	var squares float64
	for _, v := range s.values {
		d := v.value.number() - m.Mean
		squares += d * d * float64(v.n)
	}
	m.SD = math.Sqrt(squares / float64(s.n-1))
	return m
}

// median is the middle value, or the mean of the two in the middle; NaN of
// nothing.
func (s *spread) median() float64 {
	if s.n == 0 {
		return math.NaN()
	}
	return (s.ranked((s.n-1)/2) + s.ranked(s.n/2)) / 2
}

// ranked returns the k-th value, from 0.
func (s *spread) ranked(k int) float64 {
	for _, v := range s.values {
		if k -= v.n; k < 0 {
			return v.value.number()
		}
	}
	return math.NaN()
}

func (s *spread) least() float64 { return s.ranked(0) }
func (s *spread) most() float64  { return s.ranked(s.n - 1) }

// maxClasses is the number of classes that sizes are counted in at most.
const maxClasses = 20

// classWidth is the width of the classes for values: the smallest of 1, 2 and 5
// times a power of ten with which there are no more than maxClasses and none is
// narrower than the step between values.
func (s *spread) classWidth() value {
	if len(s.values) < 2 {
		return 1e6
	}
	step := s.values[1].value - s.values[0].value
	for i := 2; i < len(s.values); i++ {
		step = min(step, s.values[i].value-s.values[i-1].value)
	}
	least, most := s.values[0].value, s.values[len(s.values)-1].value
	for width := value(1); ; width *= 10 {
		for _, m := range []value{1, 2, 5} {
			if w := width * m; w >= step && floor(most, w)-floor(least, w) < maxClasses*w {
				return w
			}
		}
	}
}

// floor is the lower limit of the class that a value falls into.
func floor(v, width value) value {
	k := v / width
	if v%width < 0 {
		k--
	}
	return k * width
}
