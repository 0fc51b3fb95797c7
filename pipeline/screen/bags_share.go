package screen

import (
	"math"
	"slices"
)

// bagShare is what a survey shows of the share of its masses without gross and bag
// that have the bag in: where some plainly do, others are likelier to. Beforehand
// there is no such mass in most surveys; in the others the share is anything between
// minShare and a half, each order of magnitude as likely.
type bagShare struct {
	odds   float64            // that hold in every survey
	shares [shareGrid]float64 // the first is 0
	weight [shareGrid]float64 // posterior; they add up to 1
}

const (
	shareGrid = 25
	minShare  = 0.002
)

// shareOf works the posterior out from the log of how much likelier each mass is
// with a bag in it than without. The mean of what is expected beforehand is odds.
func shareOf(gains []float64, odds float64) *bagShare {
	s := &bagShare{odds: odds}
	mean := 0.0 // of the shares but 0
	for i := 1; i < shareGrid; i++ {
		s.shares[i] = minShare * math.Pow(0.5/minShare, float64(i-1)/(shareGrid-2))
		mean += s.shares[i] / (shareGrid - 1)
	}
	some := min(odds/(1+odds)/mean, 0.5)
	top := math.Inf(-1)
	for i, share := range s.shares {
		log := math.Log(some / (shareGrid - 1))
		if i == 0 {
			log = math.Log(1 - some)
		}
		for _, gain := range gains {
			log += math.Log1p(share * math.Expm1(bounded(gain)))
		}
		s.weight[i] = log
		top = max(top, log)
	}
	sum := 0.0
	for i := range s.weight {
		s.weight[i] = math.Exp(s.weight[i] - top)
		sum += s.weight[i]
	}
	for i := range s.weight {
		s.weight[i] /= sum
	}
	return s
}

// bounded keeps the gain of one mass within gainBound: it may be wrong otherwise.
func bounded(gain float64) float64 { return min(max(gain, -gainBound), gainBound) }

// without are the odds that a mass has the bag in, by the others alone: its own gain
// went into the posterior and is taken out.
func (s *bagShare) without(gain float64) float64 {
	by := math.Expm1(bounded(gain))
	in, out := 0.0, 0.0
	for i, share := range s.shares {
		w := s.weight[i] / (1 + share*by)
		in += w * share
		out += w * (1 - share)
	}
	return in / out
}

// learnShare learns from the masses of a survey about bags left in; nil where no
// mass is likelier than not to have it in that would not be in any survey.
func (f *fitted) learnShare(gains []float64) *bagShare {
	s := shareOf(gains, f.bagOdds())
	reported := func(gain float64) bool { return f.bagsIn(s.without(gain), gain) && !f.bagsIn(s.odds, gain) }
	if !slices.ContainsFunc(gains, reported) {
		return nil
	}
	return s
}

// times is how much likelier than in every survey a mass has the bag in, of which it
// tells so much by itself.
func (s *bagShare) times(gain float64) float64 {
	if s == nil {
		return 1
	}
	return s.without(gain) / s.odds
}

// knowing returns the fit with what the masses of the survey show of bags left in.
func (f *fitted) knowing(share *bagShare) *fitted {
	if share == nil {
		return f
	}
	g := *f
	g.share = share
	return &g
}

// bagLikely reports whether the mass of a capture has the bag in, likelier than not by
// as much as a warning asks. Such a mass is looked at however near it lies to others.
func (f *fitted) bagLikely(v *view) bool {
	i := v.at(bodyMass)
	if i < 0 || len(v.cells) < 2 || v.model.common || v.cells[i].first().Derived {
		return false
	}
	for _, ch := range f.bagChanges(nil, v.row, v.cells[i], 0) {
		if ch.slip == tareLeftIn {
			gain := v.bagGain(i, ch.value)
			return f.bagsIn(f.bagOdds()*f.share.times(gain), gain)
		}
	}
	return false
}

// bagGain is how much likelier the mass of a view is with a bag in it, which leaves
// another value, than without, as a log.
func (v *view) bagGain(i int, value float64) float64 {
	k, by := len(v.cells), math.Log(value)-v.cells[i].log
	return v.likelihood(v.moved(i, by), k) - v.likelihood(v.square, k) - by
}

// bagOdds are the odds that a mass without gross and bag has the bag in, in every
// survey.
func (f *fitted) bagOdds() float64 { return f.settings.Odds.Tare * f.forEachNet }

// bagsIn reports whether a mass is to be reported, with such odds beforehand that the bag
// is in it.
func (f *fitted) bagsIn(odds, gain float64) bool {
	return odds*math.Exp(gain)*f.settings.WarnBelow > 1-f.settings.WarnBelow
}
