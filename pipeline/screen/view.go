package screen

import (
	"math"
	"slices"
)

// view is one capture seen against the model of its taxon: how far each
// measurement lies from what size, group and the other measurements of the
// same animal let expect.
type view struct {
	model   *model
	row     *row
	cells   []*cell
	index   []int // of each cell in the model
	size    place // group that size is judged in
	pooled  bool  // size is judged among all of the taxon
	mean    []float64
	depart  []float64 // log value − mean
	inverse []float64 // of the covariance, row by row
	slope   []float64 // how the mean goes with size
	gained  []float64 // inverse · depart
	square  float64   // squared distance: depart · gained
	nu      float64
}

// view gives the sight of a row, nil where the taxon has no model or nothing
// of it was measured. Cells that skip names are left out, as if not taken: the
// distance is then that of the rest, the marginal distance.
func (f *fitted) view(r *row, skip ...*cell) *view {
	m := f.models[r.taxon]
	if m == nil {
		m = f.common
	}
	if m == nil {
		return nil
	}
	v := &view{model: m, row: r, nu: f.settings.TailFreedom,
		cells: make([]*cell, 0, len(r.cells)), index: make([]int, 0, len(r.cells))}
	for i := range r.cells {
		c := &r.cells[i]
		if at, ok := m.index[c.measurement]; ok && !slices.Contains(skip, c) && len(v.cells) < mostDims {
			v.cells, v.index = append(v.cells, c), append(v.index, at)
		}
	}
	if len(v.cells) == 0 || !v.expect() {
		return nil
	}
	v.settle()
	return v
}

// expect computes mean and inverse covariance.
func (v *view) expect() bool {
	m, r, k := v.model, v.row, len(v.cells)
	var ok bool
	if v.size, v.pooled, ok = m.placeFor(m.names[0], r.stage, r.sex); !ok {
		return false
	}
	spread := v.size.scale * v.size.widened
	if v.pooled && !m.common {
		spread = max(spread, anySize)
	}
	at := v.size.centre
	for i, c := range v.cells {
		if v.index[i] == 0 {
			spread = math.Hypot(spread, c.resolution)
			at = c.log
		}
	}
	room := make([]float64, 3*k)
	slope, scale := room[:k:k], make([]float64, k)
	v.slope, v.mean, v.depart = slope, room[k:2*k:2*k], room[2*k:]
	for i, j := range v.index {
		v.mean[i], slope[i] = v.size.centre, 1
		if j > 0 {
			l := &m.lines[j]
			c, s := l.intercept(r.sex)
			v.mean[i], slope[i] = c+l.slope*v.size.centre, l.slope
			scale[i] = s * l.widened * math.Sqrt(1+l.leverage(at))
		}
		v.depart[i] = v.cells[i].log - v.mean[i]
	}
	flat := make([]float64, k*k)
	for a, ja := range v.index {
		for b, jb := range v.index {
			flat[a*k+b] = slope[a]*slope[b]*spread*spread + m.relation[ja][jb]*scale[a]*scale[b]
		}
		if ja > 0 {
			flat[a*k+a] += v.cells[a].resolution * v.cells[a].resolution
		}
	}
	v.inverse, _, ok = inverse(flat, k)
	return ok
}

// anySize is the standard deviation of the log size of animals of which only
// the taxon is known: young and old together.
const anySize = 0.4

// resized gives the squared distance, and the change of the log density, if
// the animal as a whole is of a size unlike its group's but of the right shape.
func (v *view) resized() (square, density float64) {
	k := len(v.cells)
	var along, stiff float64
	for a := range k {
		along += v.slope[a] * v.gained[a]
		for b := range k {
			stiff += v.slope[a] * v.slope[b] * v.inverse[a*k+b]
		}
	}
	if !(stiff > 0) {
		return v.square, 0
	}
	shift, variance := along/stiff, 1/stiff
	wide := variance + anySize*anySize
	square = v.square - shift*shift/variance + shift*shift/wide
	return square, math.Log(variance/wide) / 2
}

// at gives the place of a measurement in the view, -1 where it was not taken.
func (v *view) at(measurement string) int {
	return slices.IndexFunc(v.cells, func(c *cell) bool { return c.measurement == measurement })
}

// settle computes what follows from the departures.
func (v *view) settle() {
	k := len(v.cells)
	v.gained, v.square = make([]float64, k), 0
	for a := range k {
		for b := range k {
			v.gained[a] += v.inverse[a*k+b] * v.depart[b]
		}
		v.square += v.gained[a] * v.depart[a]
	}
}

// alone is the departure of cell i from what the other cells of the row and
// the group let expect, in standard deviations.
func (v *view) alone(i int) float64 {
	return v.gained[i] / math.Sqrt(v.inverse[i*len(v.cells)+i])
}

// tolerance is the standard deviation that alone is measured in.
func (v *view) tolerance(i int) float64 { return 1 / math.Sqrt(v.inverse[i*len(v.cells)+i]) }

// expected is the log value that the other cells let expect.
func (v *view) expected(i int) float64 {
	return v.cells[i].log - v.gained[i]/v.inverse[i*len(v.cells)+i]
}

// moved is the squared distance after the log of cell i changes by shift.
func (v *view) moved(i int, shift float64) float64 {
	return v.square + 2*shift*v.gained[i] + shift*shift*v.inverse[i*len(v.cells)+i]
}

// swapped is the squared distance after cells i and j exchange their values.
func (v *view) swapped(i, j int) float64 {
	k := len(v.cells)
	s := v.cells[j].log - v.cells[i].log
	return v.square + 2*s*(v.gained[i]-v.gained[j]) +
		s*s*(v.inverse[i*k+i]+v.inverse[j*k+j]-2*v.inverse[i*k+j])
}

// likelihood is the log density of k measurements at a squared distance, but
// for the constant of k: that of the multivariate t.
func (v *view) likelihood(square float64, k int) float64 {
	return -(v.nu + float64(k)) / 2 * math.Log1p(square/v.nu)
}

// strange reports whether the capture is to be looked at closely, and whether
// it is farther out than a clean survey of this size would have any capture.
func (v *view) strange(c *cuts) (look, sure bool) {
	k := len(v.cells)
	far := 0.0
	for i := range v.cells {
		far = max(far, math.Abs(v.alone(i)))
	}
	look = v.square > c.distance[k].look || far > c.single[k].look
	sure = v.square > c.distance[k].sure || far > c.single[k].sure
	return look, sure
}
