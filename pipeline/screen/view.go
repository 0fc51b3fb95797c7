package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/statistics"
)

// view is one capture seen against the model of its taxon: how far each
// measurement lies from what size, group and the other measurements of the
// same animal predict.
type view struct {
	model   *model
	row     *row
	stature *stature
	branch  *branch // of the lines that the animal is seen along
	cells   []*cell
	index   []int     // of each cell in the model
	depart  []float64 // log value − what is expected of the group
	inverse []float64 // of the covariance, row by row
	slope   []float64 // how the mean goes with size
	gained  []float64 // inverse · depart
	square  float64   // squared distance: depart · gained
	as      string    // the sex that the animal is seen as: its own or, where that is not known, the one that fits best
	nu      float64
}

// viewBuffers is memory that views are made in. They are good as long as it is.
type viewBuffers struct {
	views    []view
	cells    []*cell
	index    []int
	numbers  []float64
	spare    []float64
	accounts []hypothesis
	changes  []change
}

// reset forgets the views.
func (r *viewBuffers) reset() {
	clear(r.views[:cap(r.views)])
	clear(r.cells[:cap(r.cells)])
	r.views, r.cells = r.views[:0], r.cells[:0]
}

// view returns the sight of a row, nil where the taxon has no model or nothing
// of it was measured. Cells that skip names are left out, as if not taken: the
// distance is then that of the rest, the marginal distance.
func (f *fitted) view(r *row, skip ...*cell) *view { return f.viewIn(new(viewBuffers), r, skip) }

func (f *fitted) viewIn(buf *viewBuffers, r *row, skip []*cell) *view {
	return f.viewBy(r.model, buf, r, skip)
}

// viewBy is a view by one model.
func (f *fitted) viewBy(m *model, buf *viewBuffers, r *row, skip []*cell) *view {
	if m == nil || len(r.cells) == 0 {
		return nil
	}
	v := &take(&buf.views, 1)[0]
	*v = view{model: m, row: r, nu: f.settings.TailFreedom}
	most := min(len(r.cells), maxDims)
	cells, index := take(&buf.cells, most)[:0], take(&buf.index, most)[:0]
	for i := range r.cells {
		c := &r.cells[i]
		at := m.numbered[c.number]
		if at < 0 || len(cells) == most || slices.Contains(skip, c) {
			continue
		}
		cells, index = append(cells, c), append(index, at)
	}
	v.cells, v.index = cells, index
	if len(cells) == 0 || !v.expect(buf) {
		return nil
	}
	v.settle()
	v.chooseSex()
	return v
}

// chooseSex views an animal whose sex is not known as of the sex that fits best.
func (v *view) chooseSex() {
	v.as = v.row.sex
	if len(v.branch.means) == 0 {
		return
	}
	best, least := 0, math.Inf(1)
	for i := range v.branch.means {
		if v.seeAs(i); v.square < least {
			best, least = i, v.square
		}
	}
	v.seeAs(best)
	v.as = v.stature.asSex[best]
}

// seeAs takes the residuals from what is expected of one of the sexes.
func (v *view) seeAs(sex int) {
	for i, j := range v.index {
		v.depart[i] = v.cells[i].log - v.cells[i].bias - v.branch.means[sex][j]
	}
	v.settle()
}

// expect computes mean and inverse covariance.
func (v *view) expect(buf *viewBuffers) bool {
	m, k := v.model, len(v.cells)
	v.stature = m.stature(groupKey{v.row.stage, v.row.sex})
	s := v.stature
	if !s.ok {
		return false
	}
	v.branch = &s.grown
	if m.knee != 0 && v.votesYoung() {
		v.branch = &s.young
	}
	spread, at := s.spread, s.size.centre
	for i, c := range v.cells {
		if v.index[i] == 0 {
			spread = math.Hypot(max(spread, s.size.side(c.log)*s.size.widened), c.resolution)
			at = c.log
		}
	}
	numbers := take(&buf.numbers, 3*k+k*k)
	v.slope, v.depart, v.gained, v.inverse = numbers[:k], numbers[k:2*k], numbers[2*k:3*k], numbers[3*k:]
	var scale [maxDims]float64
	for i, j := range v.index {
		v.slope[i] = v.branch.slope[j]
		if j > 0 {
			scale[i] = s.scale[j] * math.Sqrt(1+m.lines[j].leverage(at))
		}
		v.depart[i] = v.cells[i].log - v.cells[i].bias - v.branch.mean[j]
	}
	for a, ja := range v.index {
		for b := a; b < k; b++ {
			v.inverse[b*k+a] = v.slope[a]*v.slope[b]*spread*spread + m.relation[ja][v.index[b]]*scale[a]*scale[b]
		}
		if ja > 0 {
			v.inverse[a*k+a] += v.cells[a].resolution * v.cells[a].resolution
		}
	}
	buf.spare = sized(buf.spare, k*k)
	return statistics.Invert(v.inverse, buf.spare, k)
}

// anySize is the least standard deviation of the log size of animals of which
// only the taxon is known: young and old together.
const anySize = 0.4

// resized returns the squared distance, and the change of the log density, if
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
	wide := variance + v.model.anySize*v.model.anySize
	square = v.square - shift*shift/variance + shift*shift/wide
	return square, math.Log(variance/wide) / 2
}

// at returns the place of a measurement in the view, -1 where it was not taken.
func (v *view) at(measurement string) int {
	return slices.IndexFunc(v.cells, func(c *cell) bool { return c.measurement == measurement })
}

// settle computes what follows from the residuals.
func (v *view) settle() {
	k := len(v.cells)
	v.square = 0
	for a := range k {
		gained := 0.0
		for b, inv := range v.inverse[a*k : a*k+k] {
			gained += inv * v.depart[b]
		}
		v.gained[a] = gained
		v.square += gained * v.depart[a]
	}
}

// alone is the residual of cell i from what the other cells of the row and
// the group predict, in standard deviations.
func (v *view) alone(i int) float64 {
	return v.gained[i] / math.Sqrt(v.inverse[i*len(v.cells)+i])
}

// tolerance is the standard deviation that alone is measured in.
func (v *view) tolerance(i int) float64 { return 1 / math.Sqrt(v.inverse[i*len(v.cells)+i]) }

// expected is the log value that the other cells predict in this hand.
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
func (v *view) likelihood(square float64, k int) float64 { return likelihood(square, k, v.nu) }

func likelihood(square float64, k int, nu float64) float64 {
	return -(nu + float64(k)) / 2 * math.Log1p(square/nu)
}

// squareOf is the squared distance at which the view has a likelihood.
func (v *view) squareOf(likelihood float64) float64 {
	return v.nu * math.Expm1(-2*likelihood/(v.nu+float64(len(v.cells))))
}

// without is the squared distance of the other cells.
func (v *view) without(i int) float64 {
	z := v.alone(i)
	return max(0, v.square-z*z)
}

// between is the range of values of cell i that leave a squared distance of no more
// than farthest.
func (v *view) between(i int, farthest float64) between {
	off := math.Sqrt(max(0, farthest-v.without(i))) * v.tolerance(i)
	return between{math.Exp(v.expected(i) - off), math.Exp(v.expected(i) + off)}
}

// strange reports whether the capture is to be examined closely, and whether it is
// farther out than any capture of a clean survey of this size would be.
func (v *view) strange(c *cuts) (suspect, sure bool) {
	k := len(v.cells)
	far := 0.0
	for i := range v.cells {
		far = max(far, math.Abs(v.alone(i)))
	}
	suspect = v.square > c.distance[k].suspect || far > c.single[k].suspect
	sure = v.square > c.distance[k].sure || far > c.single[k].sure
	return suspect, sure
}
