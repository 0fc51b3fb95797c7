package screen

import (
	"math"
)

// sight is a capture made ready for the search for causes of many: its view
// and how well it is explained by itself.
type sight struct {
	view          *view   // nil if it shows nothing about causes of many
	own           *view   // the same, or one by the model of all taxa
	weighed       bool    // what follows is known
	alone         float64 // log of the sum over its own accounts
	even          float64 // squared distance from which nothing is gained
	hopeless      float64 // squared distance from which a gain is the least
	suspect, sure bool    // see strange
	taken         map[string]bool
}

// minGain is the most that one capture may count against a shared cause: it may have
// been written right, or have another slip besides.
const minGain = -6

// surely is the log posterior odds from which a shared cause is accepted.
const surely = 5

// weigh sums over the accounts of a row that was viewed, if it is strange.
func (j *search) weigh(buf *viewBuffers, s *sight) {
	v := s.view
	if v == nil || s.weighed {
		return
	}
	k := len(v.cells)
	s.weighed = true
	s.alone, s.even = v.likelihood(v.square, k), v.square
	if s.suspect || v.square > 2*float64(k) {
		s.alone = j.f.weight(v, j.sum.usualDecimals, buf)
		s.even = v.squareOf(s.alone)
	}
	s.hopeless = v.squareOf(s.alone + minGain)
}

// sightOf views a row without weighing its accounts.
func (j *search) sightOf(buf *viewBuffers, r *row) sight {
	s := sight{own: j.f.viewIn(buf, r, nil)}
	if s.own != nil {
		s.suspect, s.sure = s.own.strange(&j.f.cuts)
		if !s.own.model.common { // too wide to show a cause of many
			s.view = s.own
		}
	}
	return s
}

// moves are the changes of log values of a view.
type moves struct {
	n  int
	at [maxDims]int // cells
	by [maxDims]float64
}

func (by *moves) add(cell int, shift float64) {
	by.at[by.n], by.by[by.n] = cell, shift
	by.n++
}

// moves puts into by what a correction changes in a view; false where none of its
// targets was taken, or it cannot be.
func (j *search) moves(s *sight, places []int16, m *correction, by *moves) bool {
	by.n = 0
	v := s.view
	if v == nil {
		return false
	}
	if m.slip == columnsSwapped {
		a, b := int(places[m.at[0]]), int(places[m.at[1]])
		if a < 0 || b < 0 {
			return false
		}
		d := v.cells[b].log - v.cells[a].log
		by.add(a, d)
		by.add(b, -d)
		return true
	}
	for _, target := range m.at {
		i := int(places[target])
		if i < 0 {
			continue
		}
		shift, ok := m.log, true
		if v.cells[i].kind == mass {
			shift, ok = j.moved(m, v.row, v.cells[i])
		}
		if !ok {
			return false
		}
		by.add(i, shift)
	}
	return by.n > 0
}

// moved returns the change of the log of a mass by a correction.
func (j *search) moved(m *correction, r *row, c *cell) (float64, bool) {
	if m.slip == tareLeftIn || m.slip == tareTwice {
		if v, ok := j.withoutBag(r, c, m.slip); ok {
			return math.Log(v) - c.log, true
		}
		return 0, false
	}
	return scaledBy(m, r, c)
}

// scaledBy returns how the log of a value changes by the factor of a correction. The
// decimal point of a mass worked out from gross and tare is that of the gross
// mass.
func scaledBy(m *correction, r *row, c *cell) (float64, bool) {
	w := r.capture.Weighing
	if c.measurement != bodyMass || !c.first().Derived || w == nil || w.Gross == nil || w.Tare == nil || m.slip == inOunces {
		return m.log, true
	}
	v := w.Gross.Number*m.factor - w.Tare.Number
	return math.Log(v) - c.log, v > 0
}

// withoutBag returns the mass after a bag left in is taken out, or one taken out
// twice is put back.
func (j *search) withoutBag(r *row, c *cell, s slip) (float64, bool) {
	var tare float64
	if w := r.capture.Weighing; w != nil && w.Tare != nil && w.Tare.Usable() {
		tare = w.Tare.Number
	} else if s == tareLeftIn {
		tare = j.f.tares.within(sessionMark(r.capture.Session), c.value)
	} else {
		tare = j.f.tares.of(sessionMark(r.capture.Session), c.value)
	}
	if !(tare > 0) || c.first().Derived && s == tareLeftIn {
		return 0, false
	}
	v := c.value - tare
	if s == tareTwice {
		v = c.value + tare
	}
	return v, v > 0
}

// shifted is the squared distance after some cells of a view change.
func (v *view) shifted(by *moves) float64 {
	k := len(v.cells)
	square := v.square
	for i, a := range by.at[:by.n] {
		row := v.inverse[a*k : a*k+k]
		with := 2*v.gained[a] + by.by[i]*row[a]
		for o, b := range by.at[:i] {
			with += 2 * by.by[o] * row[b]
		}
		square += by.by[i] * with
	}
	return max(0, square)
}

// shiftedBy is the squared distance after a length changes.
func (v *view) shiftedBy(at int, by float64) float64 {
	return max(0, v.square+by*(2*v.gained[at]+by*v.inverse[at*len(v.cells)+at]))
}

// gain is the log likelihood that a capture, which was weighed, gains by being at
// another squared distance, and minGain where it is less.
func (s *sight) gain(square float64) float64 {
	if square >= s.hopeless {
		return minGain
	}
	return s.view.likelihood(square, len(s.view.cells)) - s.alone
}

// correctsBy reports whether a capture that gains so much is one of those that a
// shared cause corrects.
func correctsBy(gain float64) bool { return gain > minGain/2 }
