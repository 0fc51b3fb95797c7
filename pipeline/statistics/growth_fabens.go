package statistics

import (
	"fmt"
	"math"
)

// Growth is a von Bertalanffy curve as recaptures tell it.
type Growth struct {
	N         int     // pairs that the curve rests on
	Asymptote float64 // length that animals grow towards
	Rate      float64 // K, per unit of time
	Scale     float64 // residual standard deviation of an increment, n−2 degrees of freedom
}

// Increment is how much an animal of a length grows in a time; it shrinks towards
// the asymptote from above.
func (g Growth) Increment(length, time float64) float64 {
	return (g.Asymptote - length) * -math.Expm1(-g.Rate*time)
}

const (
	farIncrement  = 3.5 // robust standard deviations from which a pair is a slip rather than growth
	fabensRounds  = 10
	goldenSection = 0.6180339887498949
)

// Fabens fits a von Bertalanffy curve to animals that were measured twice, so
// that no ages are needed (Fabens 1965, Growth 29:265–289): least squares of
// second − first on (L∞ − first)(1 − exp(−K·time)). Pairs whose residual is more
// than 3.5 robust standard deviations are left out, and the rest is fitted again
// until none is. It fails on slices of unequal length, on fewer than 4 pairs,
// and where no curve of growth fits: the lengths then tell no asymptote.
func Fabens(first, second, time []float64) (Growth, error) {
	if len(first) != len(second) || len(first) != len(time) {
		return Growth{}, fmt.Errorf("%d first lengths, %d second, %d times", len(first), len(second), len(time))
	}
	used := make([]bool, len(first))
	for i := range used {
		used[i] = aboveZero(first[i]) && aboveZero(second[i]) && aboveZero(time[i])
	}
	var g Growth
	for range fabensRounds {
		p := increments{}
		for i, ok := range used {
			if ok {
				p.first, p.grown, p.time = append(p.first, first[i]), append(p.grown, second[i]-first[i]), append(p.time, time[i])
			}
		}
		if len(p.first) < 4 {
			return g, fmt.Errorf("%w: %d pairs, want 4 or more", ErrTooFewReadings, len(p.first))
		}
		var ok bool
		if g, ok = p.fit(); !ok {
			return g, fmt.Errorf("no curve of growth fits %d pairs", g.N)
		}
		rest := make([]float64, 0, len(p.first))
		for i := range p.first {
			rest = append(rest, math.Abs(p.grown[i]-g.Increment(p.first[i], p.time[i])))
		}
		limit, changed := farIncrement*MADScale*Median(rest), false
		for i := range used {
			near := aboveZero(first[i]) && aboveZero(second[i]) && aboveZero(time[i]) &&
				(limit == 0 || math.Abs(second[i]-first[i]-g.Increment(first[i], time[i])) <= limit)
			changed, used[i] = changed || near != used[i], near
		}
		if !changed {
			break
		}
	}
	return g, nil
}

// increments are the pairs of a fit.
type increments struct{ first, grown, time []float64 }

// at returns the best asymptote for a rate, and the sum of squares: for a given
// rate the curve is linear in the asymptote.
func (p *increments) at(rate float64) (asymptote, squares float64) {
	var gy, gg float64
	for i := range p.first {
		g := -math.Expm1(-rate * p.time[i])
		gy += g * (p.grown[i] + p.first[i]*g)
		gg += g * g
	}
	asymptote = gy / gg
	for i := range p.first {
		r := p.grown[i] - (asymptote-p.first[i])*-math.Expm1(-rate*p.time[i])
		squares += r * r
	}
	return asymptote, squares
}

// fit searches the rate on a grid of its log, then by golden section. It is
// false where the best rate lies at an end of the grid.
func (p *increments) fit() (Growth, bool) {
	const steps = 60
	longest := 0.0
	for _, t := range p.time {
		longest = max(longest, t)
	}
	low, high := math.Log(1e-3/longest), math.Log(1e3/longest)
	best, least := -1, math.Inf(1)
	for i := range steps + 1 {
		if _, s := p.at(math.Exp(low + (high-low)*float64(i)/steps)); s < least {
			best, least = i, s
		}
	}
	if best <= 0 || best >= steps {
		return Growth{N: len(p.first)}, false
	}
	a, b := low+(high-low)*float64(best-1)/steps, low+(high-low)*float64(best+1)/steps
	for range 80 {
		x, y := b-goldenSection*(b-a), a+goldenSection*(b-a)
		_, sx := p.at(math.Exp(x))
		_, sy := p.at(math.Exp(y))
		if sx < sy {
			b = y
		} else {
			a = x
		}
	}
	g := Growth{N: len(p.first), Rate: math.Exp((a + b) / 2)}
	var squares float64
	g.Asymptote, squares = p.at(g.Rate)
	g.Scale = math.Sqrt(squares / float64(g.N-2))
	return g, g.Asymptote > 0
}
