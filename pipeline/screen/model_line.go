package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/statistics"
)

// points are the animals that have both measurements.
type points struct {
	x, y []float64
	sex  []string
}

func (m *model) pointsOf(kept []observation, j int) points {
	var p points
	for i := range kept {
		x, y := kept[i].value(m.names[0]), kept[i].value(m.names[j])
		if finite(x) && finite(y) {
			p.x, p.y, p.sex = append(p.x, x), append(p.y, y), append(p.sex, kept[i].sex)
		}
	}
	return p
}

// fitLine fits the robust line of measurement j on size with one slope and an
// intercept for every sex that enough animals are of, because the sexes of
// many species differ in shape (the ear drum of male frogs). The slope comes
// from values centred by sex, or is the expected one where the two measurements
// were taken together of too few animals to tell. Where hardly any has both, the
// line is flat: its height is the median of the measurement, and its scale that
// of animals of any size.
func (m *model) fitLine(kept []observation, j int, s Settings) line {
	p := m.pointsOf(kept, j)
	l := line{n: len(p.x), offset: map[string]float64{}}
	expected, spread := expectedSlope(m.names[0], m.names[j])
	fit, within, err := m.slope(p, s)
	switch {
	case err == nil:
		l.slope = fit
	case len(p.x) >= minOnLine:
		l.slope = expected
	default:
		flat := m.places[sampleKey{measurement: m.names[j]}]
		l.n, l.all, l.widened = flat.n, flat.centre, flat.widened
		l.scale = math.Hypot(flat.scale, expected*m.anySize)
		l.pooled = l.scale
		return l
	}
	l.centre(p, s)
	l.scale = max(reweightedScale(l.residuals(p)), s.MinScale)
	l.shrink(expected, spread, within)
	l.centre(p, s)
	l.spread(p, s)
	return l
}

// Slopes that are expected before any animal is seen: those of isometry, with
// how far species depart from it (common practice).
const (
	slopeSpread     = 0.15 // of a length on a length
	massSlopeSpread = 0.4  // of a mass on a length
)

// minOnLine is the number of animals that the height of a line can be found
// from.
const minOnLine = 3

// expectedSlope returns the slope of a measurement on the size that is expected
// before any animal is seen, with its standard deviation.
func expectedSlope(size, name string) (slope, spread float64) {
	switch {
	case isMass(name) && !isMass(size):
		return 3, massSlopeSpread
	case !isMass(name) && isMass(size):
		return 1.0 / 3, slopeSpread / 3
	}
	return 1, slopeSpread
}

// shrink draws the slope towards the expected one as if so much were known of it
// beforehand, which tells where the points hardly do: the posterior mean of a
// normal slope with known scale (Gelman et al., Bayesian Data Analysis, 14.8).
func (l *line) shrink(expected, spread, within float64) {
	known := l.scale * l.scale / (spread * spread)
	l.slope = (within*l.slope + known*expected) / (within + known)
	l.known = known
}

// sexGroup is the number of animals from which a sex has its own intercept.
func sexGroup(s Settings) int { return max(4, s.MinGroup/2) }

// slope returns the MM slope of values centred by sex, and the sum of squares of
// the size that it rests on.
func (m *model) slope(p points, s Settings) (slope, within float64, err error) {
	if len(p.x) < s.MinGroup {
		return 0, 0, statistics.ErrTooFew
	}
	medians := map[string][2]float64{}
	for sex, idx := range bySex(p.sex, sexGroup(s)) {
		medians[sex] = [2]float64{statistics.Median(pick(p.x, idx)), statistics.Median(pick(p.y, idx))}
	}
	var x, y []float64
	for i := range p.x {
		if c, ok := medians[p.sex[i]]; ok {
			x, y = append(x, p.x[i]-c[0]), append(y, p.y[i]-c[1])
		}
	}
	if len(medians) == 0 {
		x, y = p.x, p.y
	}
	x, y = withoutLone(x, y, s)
	fit, err := statistics.QuickMMLine(x, y)
	if err != nil {
		return 0, 0, err
	}
	var sw, mean float64
	for i, w := range fit.Weights {
		sw += w
		mean += w * x[i]
	}
	mean /= sw
	for i, w := range fit.Weights {
		within += w * (x[i] - mean) * (x[i] - mean)
	}
	return fit.Slope, within, nil
}

// loneGap is how far, in robust standard deviations of the size, an animal stands
// from the next that stands alone, and loneShare the share of animals that may.
const (
	loneGap   = 5
	loneShare = 0.02
)

// withoutLone leaves out the few animals whose size stands alone, one at least on
// either side: a slope would rest on them, and one wrong size makes it flat.
func withoutLone(x, y []float64, s Settings) (xs, ys []float64) {
	sorted := slices.Sorted(slices.Values(x))
	n := len(sorted)
	gap := loneGap * max(statistics.MADScale*statistics.RawMAD(x), s.MinScale)
	most := min(max(1, int(loneShare*float64(n))), n/2)
	low, high := sorted[0], sorted[n-1]
	for i := range most {
		if sorted[i+1]-sorted[i] > gap {
			low = sorted[i+1]
		}
		if sorted[n-1-i]-sorted[n-2-i] > gap {
			high = sorted[n-2-i]
		}
	}
	if low == sorted[0] && high == sorted[n-1] {
		return x, y
	}
	for i, v := range x {
		if v >= low && v <= high {
			xs, ys = append(xs, v), append(ys, y[i])
		}
	}
	return xs, ys
}

// centre finds the intercepts as medians of what the slope leaves.
func (l *line) centre(p points, s Settings) {
	rest := make([]float64, len(p.x))
	for i := range rest {
		rest[i] = p.y[i] - l.rise(p.x[i])
	}
	l.all = statistics.Median(rest)
	for sex, idx := range bySex(p.sex, sexGroup(s)) {
		if sex != "" {
			l.offset[sex] = statistics.Median(pick(rest, idx))
		}
	}
}

// spread finds the scales, the range and the major axis from the points near
// the line.
func (l *line) spread(p points, s Settings) {
	own, all := l.residuals(p), make([]float64, len(p.x))
	for i, x := range p.x {
		all[i] = p.y[i] - l.rise(x) - l.all
	}
	l.scale = max(reweightedScale(own), s.MinScale)
	l.pooled = max(reweightedScale(all), l.scale)
	l.widened = widening(0.8*float64(l.n-1-len(l.offset)), s.TailFreedom)
	l.mean, l.sxx, l.below = 0, 0, 0
	var x, y []float64
	for i := range p.x {
		if math.Abs(own[i]) <= 2.5*l.scale {
			x, y = append(x, p.x[i]), append(y, p.y[i])
		}
	}
	if len(x) == 0 {
		return
	}
	l.lo, l.hi = math.Inf(1), math.Inf(-1)
	for _, v := range x {
		l.mean += v / float64(len(x))
		l.lo, l.hi = min(l.lo, v), max(l.hi, v)
	}
	for _, v := range x {
		l.sxx += (v - l.mean) * (v - l.mean)
		l.below += min(0, v-l.knee) * min(0, v-l.knee)
	}
	l.axis, _ = statistics.StandardisedMajorAxis(x, y, 0.95)
}

// reweightedScale estimates the standard deviation about 0 from the values
// within 2.5 scaled median absolute deviations, made consistent at the normal.
func reweightedScale(r []float64) float64 {
	d := make([]float64, len(r))
	for i, v := range r {
		d[i] = math.Abs(v)
	}
	first := statistics.MADScale * statistics.Median(d)
	if first == 0 {
		return statistics.MeanADScale * statistics.MeanAD(r, 0)
	}
	var sum, n float64
	for _, v := range d {
		if v <= 2.5*first {
			sum += v * v
			n++
		}
	}
	return math.Sqrt(sum / n / withinVariance)
}

// withinVariance is the variance of a standard normal cut off at ±2.5:
// 1 − 2·2.5·φ(2.5)/(2Φ(2.5)−1).
var withinVariance = func() float64 {
	const c = 2.5
	phi := math.Exp(-c*c/2) / math.Sqrt(2*math.Pi)
	return 1 - 2*c*phi/math.Erf(c/math.Sqrt2)
}()

// bySex returns the indices of each sex that has at least least animals.
func bySex(sex []string, least int) map[string][]int {
	idx := map[string][]int{}
	for i, s := range sex {
		idx[s] = append(idx[s], i)
	}
	for s, v := range idx {
		if len(v) < least {
			delete(idx, s)
		}
	}
	return idx
}

func pick(x []float64, idx []int) []float64 {
	out := make([]float64, len(idx))
	for i, at := range idx {
		out[i] = x[at]
	}
	return out
}

// value returns the log of a measurement, NaN where it was not taken.
func (o *observation) value(name string) float64 {
	for i, n := range o.names {
		if n == name {
			return o.logs[i]
		}
	}
	return math.NaN()
}
