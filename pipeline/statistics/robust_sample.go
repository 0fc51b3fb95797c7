package statistics

import (
	"cmp"
	"encoding/binary"
	"io"
	"math"
	"slices"
)

// Sample is a multiset of numbers that merges exactly: the statistics of a
// merged sample are those of all its values, whatever the order in which they
// came. Values are kept with their counts, so that readings off a graduated
// instrument take little memory. NaN is not kept. The zero Sample is empty and
// ready. Reading it from several goroutines is safe while nobody adds.
type Sample struct {
	tenths []int          // how often each tenth from 0 came, as most readings are
	counts map[uint64]int // of other values, by their bits
	n      int
}

// counted is a value and how often it came.
type counted struct {
	value float64
	times int
}

// maxTenths is the number of tenths that are counted by their place.
const maxTenths = 1 << 12

// Add puts one value in.
func (s *Sample) Add(v float64) { s.addTimes(v, 1) }

// Merge puts every value of o in.
func (s *Sample) Merge(o *Sample) {
	if o == nil {
		return
	}
	for i, k := range o.tenths {
		s.addTimes(float64(i)/10, k)
	}
	for bits, k := range o.counts {
		s.addTimes(math.Float64frombits(bits), k)
	}
}

func (s *Sample) addTimes(v float64, k int) {
	if math.IsNaN(v) || k == 0 {
		return
	}
	s.n += k
	if v >= 0 && v < maxTenths/10 {
		if i := int(v * 10); float64(i)/10 == v {
			for len(s.tenths) <= i {
				s.tenths = append(s.tenths, 0)
			}
			s.tenths[i] += k
			return
		}
	}
	if s.counts == nil {
		s.counts = map[uint64]int{}
	}
	s.counts[math.Float64bits(v)] += k
}

// Mapped is the sample of what each value becomes; what becomes NaN is left out.
func (s *Sample) Mapped(become func(float64) float64) (out Sample) {
	for _, c := range s.sorted() {
		out.addTimes(become(c.value), c.times)
	}
	return out
}

// MarshalBinary writes the sample down, and UnmarshalBinary reads it.
func (s *Sample) MarshalBinary() ([]byte, error) {
	var b []byte
	for _, c := range s.sorted() {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(c.value))
		b = binary.AppendUvarint(b, uint64(c.times))
	}
	return b, nil
}

// UnmarshalBinary puts in what MarshalBinary wrote.
func (s *Sample) UnmarshalBinary(b []byte) error {
	for len(b) > 0 {
		if len(b) < 9 {
			return io.ErrUnexpectedEOF
		}
		times, n := binary.Uvarint(b[8:])
		if n <= 0 {
			return io.ErrUnexpectedEOF
		}
		s.addTimes(math.Float64frombits(binary.LittleEndian.Uint64(b)), int(times))
		b = b[8+n:]
	}
	return nil
}

// Len is the number of values.
func (s *Sample) Len() int {
	if s == nil {
		return 0
	}
	return s.n
}

// sorted lists the different values in ascending order.
func (s *Sample) sorted() []counted {
	if s == nil {
		return nil
	}
	all := make([]counted, 0, len(s.counts))
	for i, k := range s.tenths {
		if k > 0 {
			all = append(all, counted{float64(i) / 10, k})
		}
	}
	for bits, k := range s.counts {
		all = append(all, counted{math.Float64frombits(bits), k})
	}
	sortCounted(all)
	return all
}

func sortCounted(all []counted) {
	slices.SortFunc(all, func(a, b counted) int { return cmp.Compare(a.value, b.value) })
}

// Values returns all values in ascending order.
func (s *Sample) Values() []float64 {
	all := make([]float64, 0, s.Len())
	for _, c := range s.sorted() {
		for range c.times {
			all = append(all, c.value)
		}
	}
	return all
}

// Together returns the ends of the values that hang together: what is reached
// from the median, outward, in steps of at most gap. NaN if the sample is empty.
func (s *Sample) Together(gap float64) (low, high float64) {
	all := s.sorted()
	if len(all) == 0 {
		return math.NaN(), math.NaN()
	}
	middle := ranked(all, s.Len()/2)
	low, high = middle, middle
	at := slices.IndexFunc(all, func(c counted) bool { return c.value == middle })
	for i := at - 1; i >= 0 && low-all[i].value <= gap; i-- {
		low = all[i].value
	}
	for i := at + 1; i < len(all) && all[i].value-high <= gap; i++ {
		high = all[i].value
	}
	return low, high
}

// Ranked returns the k-th smallest value, from 0.
func (s *Sample) Ranked(k int) float64 { return ranked(s.sorted(), k) }

// Median returns the middle value, or the mean of the two middle values; NaN if
// the sample is empty.
func (s *Sample) Median() float64 { return medianOf(s.sorted(), s.Len()) }

// medianOf returns the median of n values in ascending order.
func medianOf(sorted []counted, n int) float64 {
	if n == 0 {
		return math.NaN()
	}
	upper := ranked(sorted, n/2)
	if n%2 == 1 {
		return upper
	}
	return (ranked(sorted, n/2-1) + upper) / 2
}

// ranked returns the k-th smallest value, from 0.
func ranked(sorted []counted, k int) float64 {
	for _, c := range sorted {
		if k -= c.times; k < 0 {
			return c.value
		}
	}
	return math.NaN()
}

// Centre says where a sample lies and how wide it is.
type Centre struct {
	N      int
	Median float64
	RawMAD float64
	MeanAD float64
}

// Centre returns the median and both deviations of the sample; NaN if empty. It
// works on the counts, so that it takes no more memory than the sample does.
func (s *Sample) Centre() Centre {
	away, n := s.sorted(), s.Len()
	c := Centre{N: n, Median: medianOf(away, n)}
	for i := range away {
		away[i].value = math.Abs(away[i].value - c.Median)
	}
	sortCounted(away)
	c.RawMAD = medianOf(away, n)
	var sum float64
	for _, d := range away {
		for range d.times { // as MeanAD adds them up
			sum += d.value
		}
	}
	c.MeanAD = sum / float64(n)
	return c
}

// Scale returns an estimate of the standard deviation and the name of the way it
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
