package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// candidates are the steps that people read to, in thousandths of the unit,
// finest first. After a power of ten come its multiples.
var candidates = [...]uint32{10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000}

// stepCounts counts the readings of one hand and measurement, and those of them
// that are multiples of each candidate.
type stepCounts struct {
	n         int
	multiples [len(candidates)]int
	decimals  [maxDecimals + 1]int // as they were written
}

// maxDecimals is the number of decimals from which they are counted together.
const maxDecimals = 3

func (c *stepCounts) add(v float64, decimals int) {
	if !(v > 0 && v < math.MaxUint32/1000) {
		return
	}
	c.n++
	c.decimals[min(max(decimals, 0), maxDecimals)]++
	m := uint32(math.Round(v * 1000))
	for i, step := range candidates {
		if m%step == 0 {
			c.multiples[i]++
		} else if i%3 == 0 { // a power of ten, and with it all that follow
			return
		}
	}
}

func (c *stepCounts) merge(o *stepCounts) {
	c.n += o.n
	for i := range c.multiples {
		c.multiples[i] += o.multiples[i]
	}
	for i := range c.decimals {
		c.decimals[i] += o.decimals[i]
	}
}

// Numbers that a step is found from.
const (
	minForStep   = 6    // readings
	maxOff       = 0.03 // share of readings that may lie between the steps: slips
	minHeaped    = 0.15 // share of readings that go to a coarser step
	rareDecimals = 0.5  // readings with and without so many decimals that are given beforehand (Jeffreys)
)

// step is how finely a hand reads a measurement: to multiples of fine, and a
// share of the readings, heaped, to multiples of coarse. Zero where it is not
// known.
type step struct {
	fine, coarse, heaped float64
	decimals             [maxDecimals + 1]float64 // share of the readings that need no more, and were written with so many
	onFine, onCoarse     float64                  // standard uncertainty of a value, and of one that lies on the coarse step
}

// writes is how likely the hand writes a number with so many decimals that needs no
// more: 15 in a workbook, which drops the zero of 15.0, but hardly on paper where
// 15.0 is usual.
func (s *step) writes(decimals int) float64 { return s.decimals[min(max(decimals, 0), maxDecimals)] }

// step finds the step from the counts: the coarsest candidate of which nearly
// all readings are multiples. A coarser one that more readings are multiples of
// than every k-th, k being the ratio of the two, is heaped on.
func (c *stepCounts) step() step {
	if c.n < minForStep {
		return step{}
	}
	off := int(maxOff * float64(c.n))
	fine := -1
	for i := range candidates {
		if c.multiples[i] >= c.n-off {
			fine = i
		}
	}
	if fine < 0 {
		return step{}
	}
	s := step{fine: float64(candidates[fine]) / 1000}
	for i, n := range c.decimals {
		s.decimals[i] = min(1, (float64(n)+rareDecimals)/(float64(c.needing(i))+2*rareDecimals))
	}
	for i := fine + 1; i < len(candidates); i++ {
		if candidates[i]%candidates[fine] != 0 {
			continue
		}
		k := float64(candidates[i]) / float64(candidates[fine])
		share := float64(c.multiples[i]) / float64(c.n)
		if h := (share - 1/k) / (1 - 1/k); h > minHeaped && h*float64(candidates[i]) > s.heaped*s.coarse*1000 {
			s.coarse, s.heaped = float64(candidates[i])/1000, h
		}
	}
	s.settle()
	return s
}

// shows is the number of decimals that the step needs.
func (s *step) shows() int {
	n := 0
	for n < maxDecimals && !onStep(s.fine, math.Pow10(-n)) {
		n++
	}
	return n
}

// needing is the number of readings that need no more than so many decimals.
func (c *stepCounts) needing(decimals int) int {
	last := math.Pow10(maxDecimals - decimals) // in thousandths
	if at := slices.Index(candidates[:], uint32(last)); at >= 0 {
		return c.multiples[at]
	}
	return c.n
}

// settle works out the standard uncertainty of values as read: that of a
// rectangle as wide as the step (JCGM 100:2008, F.2.2.1). A value that lies on
// the coarse step was read to it as likely as heaping has it.
func (s *step) settle() {
	variance := s.fine * s.fine
	s.onFine = math.Sqrt(variance / 12)
	if s.coarse > 0 {
		k := s.coarse / s.fine
		heaped := s.heaped / (s.heaped + (1-s.heaped)/k)
		s.onCoarse = math.Sqrt((heaped*s.coarse*s.coarse + (1-heaped)*variance) / 12)
	}
}

// uncertainty is the standard uncertainty of a value as read.
func (s *step) uncertainty(v float64) float64 {
	if s.coarse > 0 && onStep(v, s.coarse) {
		return s.onCoarse
	}
	return s.onFine
}

func onStep(v, step float64) bool {
	n := v / step
	return math.Abs(n-math.Round(n)) < 1e-6
}

// observerOf is the hash of who took a reading of a row.
func observerOf(r *record.Reading, row uint64) uint64 {
	if r.Observer == "" {
		return row
	}
	return hash(r.Observer)
}

// observerNamed is the hash of an observer, 0 where nobody is named.
func observerNamed(name string) uint64 {
	if name == "" {
		return 0
	}
	return hash(name)
}

// resolve finds the model of a row, takes the logs of its cells, widens the resolution of
// each by the steps that its observer reads to and by how well a live animal can be
// measured, and notes the bias.
func (f *fitted) resolve(r *row) {
	own := f.takings.by(r.hand)
	f.takings.number(r)
	if r.model = f.models[r.taxon]; r.model == nil {
		r.model = f.common()
	}
	var buf [maxDims]float64
	typical := r.model.typicalOf(r, buf[:0])
	massive := minMass(r, typical)
	for i := range r.cells {
		c := &r.cells[i]
		c.log = math.Log(c.value)
		first, value := c.first(), c.value
		if c.kind == mass {
			value = max(value, massive*typical[i])
		} else {
			value = max(value, smallest*typical[i])
		}
		t := &taking{}
		if c.number > 0 {
			if t = &own[c.number-1]; first.Observer != "" {
				t = f.takingOf(first, r.hand)
			}
		}
		c.resolution = max(c.digits*c.value, f.uncertainty(r, c, &t.step)) / value
		if t.rougher > 0 {
			c.resolution = math.Hypot(c.resolution, t.rougher)
		}
		c.bias = t.bias
	}
}

// smallest is the size of the smallest animals over the median of their
// taxon. What is read of an animal is relative to what it is like, not to a
// slip that is smaller than any.
const smallest = 0.3

// typicalOf appends the middle value of each cell's measurement, 0 where the model
// does not know it.
func (m *model) typicalOf(r *row, to []float64) []float64 {
	for i := range r.cells {
		middle := 0.0
		if m != nil {
			if at := m.numbered[r.cells[i].number]; at >= 0 {
				middle = m.typical[at]
			}
		}
		to = append(to, middle)
	}
	return to
}

// minMass is how heavy an animal is at least beside the median of its taxon: by
// the cube of its lengths where any was taken, the middle one beside its own median.
func minMass(r *row, typical []float64) float64 {
	var buf [maxDims]float64
	ratios := buf[:0]
	for i := range r.cells {
		if c := &r.cells[i]; c.kind == length && typical[i] > 0 && len(ratios) < maxDims {
			ratios = append(ratios, c.value/typical[i])
		}
	}
	if len(ratios) == 0 {
		return smallest
	}
	slices.Sort(ratios)
	middle := ratios[len(ratios)/2]
	return min(1, middle*middle*middle)
}

// uncertainty is the standard uncertainty of a cell in its unit: of the steps
// that it was read to and, of a length, of the repeat.
func (f *fitted) uncertainty(r *row, c *cell, s *step) float64 {
	first := c.first()
	if w := r.capture.Weighing; c.first().Derived && w != nil && w.Gross != nil && w.Tare != nil {
		return math.Hypot(f.stepOf(w.Gross, r.hand), f.stepOf(w.Tare, r.hand))
	}
	u := s.uncertainty(first.Number)
	if c.kind == length {
		repeat := f.settings.RepeatLength // in millimetres
		if first.Unit != "mm" {
			repeat = repeat * sizes["mm"] / sizes[first.Unit]
		}
		u = math.Hypot(u, repeat)
	}
	return u
}

// stepOf is the standard uncertainty of a reading from its step; 0 where that is
// not known.
func (f *fitted) stepOf(r *record.Reading, row uint64) float64 {
	t := f.takingOf(r, row)
	if t == nil {
		return 0
	}
	return t.step.uncertainty(r.Number)
}
