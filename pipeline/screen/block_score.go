package screen

import (
	"math"
	"slices"
)

// sight is a capture made ready for the search for causes of many: its view
// and how well it is explained by itself.
type sight struct {
	view  *view
	alone float64 // log of the sum over its own accounts
	taken map[string]bool
}

// leastGain is the worst that one capture may say against a cause of many: it
// may have been written right, or have another slip besides.
const leastGain = -6

// surely is the log posterior odds from which a cause of many is believed.
const surely = 5

// sightOf views a row and sums over its accounts where it is strange.
func (j *search) sightOf(r *row) sight {
	s := sight{view: j.f.view(r), taken: map[string]bool{}}
	if s.view != nil && s.view.model.common {
		s.view = nil // too wide to tell anything of many
	}
	if s.view == nil {
		return s
	}
	s.alone = s.view.likelihood(s.view.square, len(s.view.cells))
	if look, _ := s.view.strange(&j.f.cuts); look || s.view.square > 2*float64(len(s.view.cells)) {
		s.alone = math.Inf(-1)
		for _, h := range j.f.explain(s.view, j.sum.usualDecimals) {
			s.alone = logSum(s.alone, h.score)
		}
	}
	return s
}

func logSum(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(a, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// shifts gives the change of each log value of a view under a mending; false
// where none of its targets was taken, or it cannot be.
func (j *search) shifts(s *sight, m mending) ([]float64, bool) {
	v := s.view
	if v == nil {
		return nil, false
	}
	var at []int
	for i, c := range v.cells {
		if slices.Contains(m.targets, c.measurement) && !s.taken[c.measurement] {
			at = append(at, i)
		}
	}
	if len(at) == 0 || m.slip == columnsSwapped && len(at) != 2 {
		return nil, false
	}
	out := make([]float64, len(v.cells))
	switch m.slip {
	case columnsSwapped:
		d := v.cells[at[1]].log - v.cells[at[0]].log
		out[at[0]], out[at[1]] = d, -d
	case tareLeftIn, tareTwice:
		value, ok := j.withoutBag(v.row, v.cells[at[0]], m.slip)
		if !ok {
			return nil, false
		}
		out[at[0]] = math.Log(value) - v.cells[at[0]].log
	default:
		for _, i := range at {
			value, ok := scaledBy(m, v.row, v.cells[i])
			if !ok {
				return nil, false
			}
			out[i] = math.Log(value) - v.cells[i].log
		}
	}
	return out, true
}

// scaledBy gives a value times the factor of a mending. The decimal point of a
// mass worked out from gross and tare is that of the gross mass.
func scaledBy(m mending, r *row, c *cell) (float64, bool) {
	w := r.capture.Weighing
	if c.measurement != bodyMass || !c.first().Derived || w == nil || w.Gross == nil || w.Tare == nil || m.slip == inOunces {
		return c.value * m.factor, true
	}
	v := w.Gross.Number*m.factor - w.Tare.Number
	return v, v > 0
}

// withoutBag gives the mass after a bag left in is taken out, or one taken out
// twice is put back.
func (j *search) withoutBag(r *row, c *cell, s slip) (float64, bool) {
	tare := j.f.usualTare(r.capture.Session)
	w := r.capture.Weighing
	if w != nil && w.Tare != nil && w.Tare.Usable() {
		tare = w.Tare.Number
	}
	derived := c.first().Derived
	if !(tare > 0) || derived && s == tareLeftIn {
		return 0, false
	}
	v := c.value - tare
	if s == tareTwice {
		v = c.value + tare
	}
	return v, v > 0
}

// shifted is the squared distance after all cells of a view change.
func (v *view) shifted(by []float64) float64 {
	k := len(v.cells)
	square := v.square
	for a := range k {
		if by[a] == 0 {
			continue
		}
		square += 2 * by[a] * v.gained[a]
		for b := range k {
			square += by[a] * by[b] * v.inverse[a*k+b]
		}
	}
	return max(0, square)
}

// gain is the log likelihood that a capture gains by a mending.
func (s *sight) gain(by []float64) float64 {
	return s.view.likelihood(s.view.shifted(by), len(s.view.cells)) - s.alone
}

// claim is a mending of a block with its log posterior odds.
type claim struct {
	block   int
	mending int
	odds    float64
	rows    []int // that it mends
	n       int   // captures of the block that have the measurement
}

// weigh weighs a mending of a block against every capture having its own
// account. For slips that move values little, the alternative is that the
// block's animals or its observer differ a little as a whole.
func (j *search) weigh(at, mend int) claim {
	m := j.mendings[mend]
	c := claim{block: at, mending: mend, odds: math.Log(m.odds)}
	subtle := m.slip == tareLeftIn || m.slip == tareTwice
	for _, i := range j.blocks[at].rows {
		g := float64(j.gains[mend][i])
		if !finite(g) {
			continue
		}
		c.n++
		c.odds += max(g, leastGain)
		if g > leastGain/2 {
			c.rows = append(c.rows, i)
		}
	}
	if subtle && c.odds > surely {
		c.odds -= j.biasGain(at, mend)
	}
	return c
}

// blockSpread is the standard deviation of the log by which the animals of a
// day, or an observer's hand, may differ as a whole (common practice: 5 %).
const blockSpread = 0.05

// biasGain is the log posterior that a block gains over its captures' own
// accounts if its masses are all a little larger or smaller by one factor,
// the likeliest: a fat season, a scale out of true. The factor's log is normal
// with standard deviation blockSpread.
func (j *search) biasGain(at, mend int) float64 {
	best := 0.0
	for step := -30; step <= 30; step++ {
		shift := float64(step) / 100
		gain := -shift * shift / (2 * blockSpread * blockSpread)
		for _, i := range j.blocks[at].rows {
			if finite(float64(j.gains[mend][i])) {
				v := j.sights[i].view
				gain += v.likelihood(v.moved(v.at(bodyMass), -shift), len(v.cells)) - j.sights[i].alone
			}
		}
		best = max(best, gain)
	}
	return best
}
