package screen

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// hypothesis is one account of a strange capture.
type hypothesis struct {
	slip      slip
	cells     []int   // of the view, those that are wrong by it
	change    *change // nil where nothing is rewritten by it
	square    float64 // squared distance of the capture afterwards
	score     float64 // log of prior times likelihood
	posterior float64
	back      bool // the capture is then like its group again
}

// errorRange is the width, on the log scale, over which a value that is wrong
// by none of the usual slips may lie: from a tenth to ten times what it was.
var errorRange = math.Log(100)

// rowWidth is how much wider than its group an animal may vary that is unlike
// it as a whole (another species, a cripple, a wrong sex).
const rowWidth = 3

// explain lists every account of a view with its posterior probability,
// likeliest first. The measurements follow a multivariate t about the group;
// an account's likelihood is that of the measurements after what it says was
// written is written back; its prior comes from Odds. This is Bayes' theorem
// over a list of accounts that leave no other (Gelman et al., Bayesian Data
// Analysis, chapter 7, for mixtures of this kind).
//
// An animal whose sex is not known is of one or the other, equally likely before
// it was measured: the accounts of both are weighed beside each other, and it is
// then seen as of the sex that has more of them.
func (f *fitted) explain(v *view, decimals func(string) int) []hypothesis {
	var buf viewBuffers
	if len(v.branch.means) < 2 {
		list := f.accountsOf(v, decimals, nil, &buf)
		weigh(list)
		return list
	}
	var list []hypothesis
	var of []int // the sex of each
	for i := range v.branch.means {
		v.seeAs(i)
		list = f.accountsOf(v, decimals, list, &buf)
		for len(of) < len(list) {
			of = append(of, i)
		}
	}
	best := likeliestSex(list, of, len(v.branch.means))
	v.seeAs(best)
	v.as = v.stature.asSex[best]
	list = together(list)
	weigh(list)
	return list
}

// likeliestSex returns the sex that most of the probability is with.
func likeliestSex(list []hypothesis, of []int, sexes int) (best int) {
	top := math.Inf(-1)
	for i := range list {
		top = max(top, list[i].score)
	}
	sums := make([]float64, sexes)
	for i := range list {
		sums[of[i]] += math.Exp(list[i].score - top)
	}
	for i := range sums {
		if sums[i] > sums[best] {
			best = i
		}
	}
	return best
}

// together joins accounts of the same slip under different sexes: their probabilities
// add up, and the likelier one gives the squared distance.
func together(list []hypothesis) []hypothesis {
	out := list[:0]
	for _, h := range list {
		at := 0
		for at < len(out) && !out[at].sameAs(&h) {
			at++
		}
		if at == len(out) {
			out = append(out, h)
			continue
		}
		o := &out[at]
		high, low := max(o.score, h.score), min(o.score, h.score)
		if h.score > o.score {
			*o = h
		}
		o.score = high + math.Log1p(math.Exp(low-high))
	}
	return out
}

// sameAs reports whether two accounts are of the same slip.
func (h *hypothesis) sameAs(o *hypothesis) bool {
	return o.slip == h.slip && o.rewrites() == h.rewrites() && (h.change == nil || o.change.value == h.change.value) && slices.Equal(o.cells, h.cells)
}

// rewrites is the cell of the sheet that would be rewritten, nil for none.
func (h *hypothesis) rewrites() *record.Reading {
	if h.change == nil {
		return nil
	}
	return h.change.reading
}

// weight returns the log of the sum over all accounts of a view. Buf may be
// used again.
func (f *fitted) weight(v *view, decimals func(string) int, buf *viewBuffers) float64 {
	buf.accounts = f.accountsOf(v, decimals, buf.accounts[:0], buf)
	top, sum := math.Inf(-1), 0.0
	for i := range buf.accounts {
		top = max(top, buf.accounts[i].score)
	}
	for i := range buf.accounts {
		sum += math.Exp(buf.accounts[i].score - top)
	}
	clear(buf.accounts)
	clear(buf.changes)
	buf.changes = buf.changes[:0]
	return top + math.Log(sum)
}

// accountsOf appends the accounts of a view with their scores, but for those of which
// nothing would come.
func (f *fitted) accountsOf(v *view, decimals func(string) int, list []hypothesis, buf *viewBuffers) []hypothesis {
	k, odds := len(v.cells), f.settings.Odds
	resized, density := v.resized()
	list = append(list,
		hypothesis{slip: nothingWrong, square: v.square, score: v.likelihood(v.square, k)},
		hypothesis{slip: rowStrange, square: v.square / (rowWidth * rowWidth),
			score: math.Log(odds.WholeRow) - float64(k)*math.Log(rowWidth) + v.likelihood(v.square/(rowWidth*rowWidth), k)},
		hypothesis{slip: sizeUnusual, square: resized, score: math.Log(odds.Size) + density + v.likelihood(resized, k)})
	var unknown [maxDims]float64 // scores of each cell being wrong by none of the usual slips
	top := math.Inf(-1)
	for i := range list[len(list)-3:] {
		top = max(top, list[len(list)-3+i].score)
	}
	for i := range v.cells {
		unknown[i] = f.unknown(v, i)
		top = max(top, unknown[i])
	}
	farthest := max(v.squareOf(top-vanishing), f.cuts.distance[k].suspect)
	for i, c := range v.cells {
		cells := alone[i : i+1 : i+1]
		rest := v.without(i)
		if v.likelihood(rest, k) >= top-negligible {
			list = f.changesOf(v, i, decimals(c.measurement), list, buf, v.between(i, farthest))
		}
		list = append(list, hypothesis{slip: unexplained, cells: cells, square: rest, score: unknown[i]})
		copied := func(s slip) {
			width := f.width(c.first(), v.row.hand)
			list = append(list, hypothesis{slip: s, cells: cells, square: rest,
				score: math.Log(odds.Copied*v.tolerance(i)*math.Sqrt(2*math.Pi)/width) + v.likelihood(rest, k-1)})
		}
		if v.row.above.hasSame(c) {
			copied(copiedDown)
		}
		if v.twin(i) >= 0 {
			copied(copiedAcross)
		}
	}
	list = f.tails(v, list)
	return f.several(v, f.pairs(v, f.swaps(v, list, farthest)))
}

// tails lists the account by which a lizard, a salamander or a snake lost a part of its
// tail: nothing is then wrong with its tail or total length. Any share of the tail is as
// likely to be left, so that the log of a length has the density length over whole tail.
func (f *fitted) tails(v *view, list []hypothesis) []hypothesis {
	body := slices.IndexFunc(v.cells, func(c *cell) bool { return c.measurement == "snoutVentLength" })
	if body < 0 {
		return list
	}
	for i, c := range v.cells {
		if c.measurement != "tailLength" && c.measurement != "totalLength" || v.alone(i) >= 0 {
			continue
		}
		length := math.Exp(c.log)
		left, whole := length, math.Exp(v.expected(i))
		if c.measurement == "totalLength" {
			snoutVent := math.Exp(v.cells[body].log)
			left, whole = left-snoutVent, whole-snoutVent
		}
		if left > 0 && whole > left {
			list = append(list, hypothesis{slip: tailShort, square: v.without(i),
				score: math.Log(f.settings.Odds.Tail*v.tolerance(i)*math.Sqrt(2*math.Pi)*length/whole) + v.likelihood(v.without(i), len(v.cells)-1)})
		}
	}
	return list
}

// How much less likely than another an account is, as a log, that is passed over: the
// usual slips of a cell, of which a row that has one value ten times too small has
// hundreds, are negligible where the row without that cell is, whatever their prior.
// What vanishes is no more than the last digit of a sum, and leaves the row unlike its
// group.
const (
	negligible = 14
	vanishing  = 36
)

// changesOf lists the accounts by which a cell of a view suffered a usual slip, of those
// that leave a value within a range.
func (f *fitted) changesOf(v *view, i, decimals int, list []hypothesis, buf *viewBuffers, within between) []hypothesis {
	c, off, tolerance := v.cells[i], v.alone(i), v.tolerance(i)
	all := f.changesIn(buf.changes[len(buf.changes):], v.row, c, decimals, within)
	buf.changes = append(buf.changes, all...)
	prior, log := -1.0, 0.0 // of the change before, and its log
	for at := range all {
		ch := &all[at]
		if ch.prior != prior {
			prior, log = ch.prior, math.Log(ch.prior)
		}
		shift := math.Log(ch.value) - c.log
		square := v.moved(i, shift)
		h := hypothesis{slip: ch.slip, cells: alone[i : i+1 : i+1], change: ch, square: square, score: log + v.likelihood(square, len(v.cells)),
			back: f.isBack(square, len(v.cells), off+shift/tolerance)}
		if ch.slip == tareLeftIn {
			h.score += math.Log(f.share.times(v.bagGain(i, ch.value)))
		}
		list = append(list, h)
	}
	return list
}

// unknown is the score of the account that cell i is wrong by none of the usual slips.
func (f *fitted) unknown(v *view, i int) float64 {
	return math.Log(f.settings.Odds.Unknown*v.tolerance(i)*math.Sqrt(2*math.Pi)/errorRange) + v.likelihood(v.without(i), len(v.cells)-1)
}

// twin returns another cell of the same dimension in which the same number stands,
// -1 if there is none.
func (v *view) twin(i int) int {
	c, own := v.cells[i], v.cells[i].first()
	return slices.IndexFunc(v.cells, func(o *cell) bool {
		r := o.first()
		return o != c && o.kind == c.kind && r.Text == own.Text && r.Unit == own.Unit && !r.Derived && !own.Derived
	})
}

// alone are the indices of cells, to be cut into lists of one.
var alone = func() (at [maxDims]int) {
	for i := range at {
		at[i] = i
	}
	return at
}()

// both are the pairs of indices, by the larger and the smaller.
var both = func() (at [maxDims][maxDims][2]int) {
	for i := range at {
		for j := range i {
			at[i][j] = [2]int{j, i}
		}
	}
	return at
}()

// swaps lists the exchanges of two lengths that leave no more than a squared distance.
func (f *fitted) swaps(v *view, list []hypothesis, farthest float64) []hypothesis {
	before, n := len(list), 0
	for i := range v.cells {
		for j := range i {
			if v.cells[i].kind != length || v.cells[j].kind != length {
				continue
			}
			n++
			if square := v.swapped(i, j); square <= farthest {
				list = append(list, hypothesis{slip: columnsSwapped, cells: both[i][j][:], square: square,
					back: square <= f.cuts.distance[len(v.cells)].suspect})
			}
		}
	}
	prior := math.Log(f.settings.Odds.Columns / float64(max(n, 1)))
	for i := before; i < len(list); i++ {
		list[i].score = prior + v.likelihood(list[i].square, len(v.cells))
	}
	return list
}

// pairs lists the accounts by which two cells are wrong at once, each by a slip
// of its own. Two measurements at least must be left to judge by.
func (f *fitted) pairs(v *view, list []hypothesis) []hypothesis {
	k := len(v.cells)
	if k < 4 {
		return list
	}
	prior := 2 * math.Log(f.settings.Odds.perCell()*math.Sqrt(2*math.Pi)/errorRange)
	for i := range k {
		for j := range i {
			a, b, c := v.inverse[i*k+i], v.inverse[i*k+j], v.inverse[j*k+j]
			det := a*c - b*b
			gi, gj := v.gained[i], v.gained[j]
			rest := max(0, v.square-(c*gi*gi-2*b*gi*gj+a*gj*gj)/det)
			list = append(list, hypothesis{slip: bothWrong, cells: both[i][j][:], square: rest,
				score: prior - math.Log(det)/2 + v.likelihood(rest, k-2)})
		}
	}
	return list
}

// perCell is the prior that a cell is wrong at all.
func (o Odds) perCell() float64 {
	return 2*o.FactorTen + 2*o.FactorHundred + o.Unit + o.Transposed + o.Misread + o.Unknown
}

// isBack reports whether a cell that a change leaves so far off agrees with its group
// and with the rest of a row of k measurements.
func (f *fitted) isBack(square float64, k int, off float64) bool {
	return math.Abs(off) <= f.settings.ModifiedZ && square <= f.cuts.distance[k].suspect
}

// weigh turns scores into posteriors and sorts, likeliest first.
func weigh(list []hypothesis) {
	top := math.Inf(-1)
	for _, h := range list {
		top = max(top, h.score)
	}
	var sum float64
	for i := range list {
		list[i].posterior = math.Exp(list[i].score - top)
		sum += list[i].posterior
	}
	for i := range list {
		list[i].posterior /= sum
	}
	sorting.StableFunc(list, func(a, b hypothesis) int { return cmp.Compare(b.posterior, a.posterior) })
}

// verdict is what is made of a list of accounts.
type verdict struct {
	view     *view
	none     float64      // posterior of nothing wrong
	copied   float64      // posterior that the cell was copied from the row above
	across   float64      // and that it was from another column
	cells    []int        // that are wrong; none if the row as a whole is
	share    float64      // posterior that these are wrong
	rival    []int        // the next likeliest cells
	rivalled float64      // posterior of those
	accounts []hypothesis // of these cells that bring the row back, likeliest first
	sure     bool
	both     bool // the two cells are wrong each by itself
}

// decide adds the posteriors of all accounts that blame the same cells and
// picks the likeliest; ok is false where nothing is wrong.
func (f *fitted) decide(v *view, list []hypothesis) (d verdict, ok bool) {
	d.view = v
	type blame struct {
		cells []int
		share float64
	}
	var blames []blame
	for _, h := range list {
		if h.slip == nothingWrong || h.slip == sizeUnusual || h.slip == tailShort {
			d.none += h.posterior
			continue
		}
		at := slices.IndexFunc(blames, func(b blame) bool { return slices.Equal(b.cells, h.cells) })
		if at < 0 {
			at = len(blames)
			blames = append(blames, blame{cells: h.cells})
		}
		blames[at].share += h.posterior
	}
	if d.none >= f.settings.WarnBelow {
		return d, false
	}
	sorting.StableFunc(blames, func(a, b blame) int { return cmp.Compare(b.share, a.share) })
	d.cells, d.share = blames[0].cells, blames[0].share
	d.both = list[slices.IndexFunc(list, func(h hypothesis) bool { return slices.Equal(h.cells, d.cells) })].slip == bothWrong
	if len(blames) > 1 {
		d.rival, d.rivalled = blames[1].cells, blames[1].share
	}
	for _, h := range list {
		if !slices.Equal(h.cells, d.cells) {
			continue
		}
		switch h.slip {
		case copiedDown:
			d.copied = h.posterior
		case copiedAcross:
			d.across = h.posterior
		}
		if h.back {
			d.accounts = append(d.accounts, h)
		}
	}
	return d, true
}

// level is how serious the verdict is: an error only where named slips
// explain what no clean survey of this size holds.
func (f *fitted) severe(d verdict, list []hypothesis) bool {
	if !d.sure || len(d.accounts) == 0 || d.none > f.settings.ErrorBelow {
		return false
	}
	for _, h := range list {
		if h.slip == rowStrange && h.posterior > f.settings.ErrorBelow {
			return false
		}
	}
	best := d.accounts[0]
	if !gross[best.slip] && len(d.cells) == 1 && math.Abs(d.view.alone(d.cells[0])) < farAway {
		return false
	}
	return d.explained() > 0.5*d.share // whichever of them it was
}

// farAway is the number of standard deviations from which a slip that moves a
// value little, such as a misread digit, is as good as certain.
const farAway = 8
