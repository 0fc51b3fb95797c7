package repeats

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

const (
	minFreedom = 10
	farOff     = 0.2 // of the mean: the range of an animal's repeats that is more than scatter
)

// Summary gathers the repeats of a survey. The zero value is ready.
type Summary struct{ Of map[kind]*spread } // exported for encoding/gob

type kind struct{ Measurement, Unit string }

// spread is the scatter of repeats about the means of their animals. Its squares
// are whole numbers of squareUnit, so that the order in which they come does not
// matter.
type spread struct {
	Whole, Part uint64 // squares in units of 1, and what is left in squareUnit
	Freedom     int
}

const squareUnit = 1.0 / (1 << 40)

func (s *spread) add(o spread) {
	s.Whole, s.Part, s.Freedom = s.Whole+o.Whole, s.Part+o.Part, s.Freedom+o.Freedom
	s.Whole, s.Part = s.Whole+s.Part>>40, s.Part&(1<<40-1)
}

func (s *spread) deviation() float64 {
	return math.Sqrt((float64(s.Whole) + float64(s.Part)*squareUnit) / float64(s.Freedom))
}

// own is whose repeats are compared with each other: those of one measurement
// by one observer.
type own struct {
	kind
	observer string
}

// Add takes the repeats of one capture into account.
func (s *Summary) Add(c *record.Capture) {
	var done []own
	for i := range c.Readings {
		r := &c.Readings[i]
		o := own{kind{r.Measurement, r.Unit}, r.Observer}
		if !repeated(r) || slices.Contains(done, o) {
			continue
		}
		done = append(done, o)
		s.add(o.kind, values(c.Readings[i:], o))
	}
}

// repeated reports whether a reading is one of several that a person took.
func repeated(r *record.Reading) bool { return r.Replicate > 0 && !r.Derived && r.Usable() }

func values(rs []record.Reading, o own) (out []float64) {
	for i := range rs {
		if r := &rs[i]; repeated(r) && (own{kind{r.Measurement, r.Unit}, r.Observer}) == o {
			out = append(out, r.Number)
		}
	}
	return out
}

func (s *Summary) add(k kind, values []float64) {
	if len(values) < 2 {
		return
	}
	low, high, sum := math.Inf(1), math.Inf(-1), 0.0
	for _, v := range values {
		low, high, sum = min(low, v), max(high, v), sum+v
	}
	mean := sum / float64(len(values))
	if high-low > farOff*math.Abs(mean) {
		return
	}
	var squares float64
	for _, v := range values {
		squares += (v - mean) * (v - mean)
	}
	whole := math.Floor(squares)
	s.join(k, spread{uint64(whole), uint64((squares - whole) / squareUnit), len(values) - 1})
}

func (s *Summary) join(k kind, o spread) {
	if s.Of == nil {
		s.Of = map[kind]*spread{}
	}
	if s.Of[k] == nil {
		s.Of[k] = &spread{}
	}
	s.Of[k].add(o)
}

// Merge adds the repeats of another part.
func (s *Summary) Merge(o *Summary) {
	for k, v := range o.Of {
		s.join(k, *v)
	}
}

// Any reports whether Fill can give any reading an accuracy.
func (s *Summary) Any() bool {
	for _, v := range s.Of {
		if v.Freedom >= minFreedom {
			return true
		}
	}
	return false
}

// Fill gives the readings of a capture that have no accuracy the expanded
// uncertainty (k = 2) that the repeats of their kind tell, with the step they
// were read in, and names it in their remark.
func (s *Summary) Fill(c *record.Capture) {
	for i := range c.Readings {
		r := &c.Readings[i]
		v := s.Of[kind{r.Measurement, r.Unit}]
		if v == nil || v.Freedom < minFreedom || r.Accuracy > 0 || r.Derived || !r.Usable() || r.High() > r.Low() {
			continue
		}
		deviation := v.deviation()
		r.Accuracy = record.Expanded(deviation, r.Resolution/math.Sqrt(12))
		said := fmt.Sprintf("repeatability %.2g %s, from %d repeats beyond the first", deviation, r.Unit, v.Freedom)
		if r.Remark() != "" {
			said = r.Remark() + "; " + said
		}
		r.SetRemark(said)
	}
}
