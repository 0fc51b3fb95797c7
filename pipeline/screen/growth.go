package screen

import (
	"fmt"
	"math"

	"spadefoot/pipeline/statistics"
)

// growths is how much animals grow between two captures: by the survey's own
// curve of a taxon where enough recaptures show one, else by GrowthPerDay up to
// the largest of the taxon. Taxa go by hash of their names.
type growths struct {
	curves  map[uint64]statistics.Growth
	largest map[uint64]float64 // log body length
	perDay  float64
	rates   map[string]rate // of measurements that grow faster here than perDay
}

// rate is the log growth per day that is believed of a measurement, and the
// number of recaptures that it rests on.
type rate struct {
	perDay float64
	n      int
}

const (
	minRecaptured = 20   // pairs that a curve is fitted to
	minApart      = 14   // days between them, so that growth shows beside error
	maxRecaptured = 2000 // pairs of a taxon that are taken
	beyondCurve   = 2    // residual standard deviations that an animal may grow beyond the curve
	largestOf     = 3    // scales above the middle of its largest group that the largest of a taxon is taken to be
	fastShare     = 0.1  // share of many recaptures that errors alone do not make
	growthForSure = 0.06 // log change that errors seldom make: three usual technical errors
	timesFast     = 2    // times the growth of these that one animal may grow
	daysPerYear   = 365.25
)

// recaptured are the pairs of one taxon: lengths in mm, times in years.
type recaptured struct{ First, Second, Years []float64 }

func (r *recaptured) add(first, second, days float64) {
	if days >= minApart && len(r.First) < maxRecaptured {
		r.First, r.Second, r.Years = append(r.First, first), append(r.Second, second), append(r.Years, days/daysPerYear)
	}
}

// join adds the pairs of others.
func (r *recaptured) join(o *recaptured) {
	n := min(len(o.First), maxRecaptured-len(r.First))
	r.First, r.Second, r.Years = append(r.First, o.First[:n]...), append(r.Second, o.Second[:n]...), append(r.Years, o.Years[:n]...)
}

func newGrowths(f *fitted, pairs map[uint64]*recaptured) *growths {
	g := &growths{curves: map[uint64]statistics.Growth{}, largest: map[uint64]float64{}, perDay: f.settings.GrowthPerDay, rates: map[string]rate{}}
	for taxon, r := range pairs {
		if len(r.First) < minRecaptured {
			continue
		}
		if curve, err := statistics.Fabens(r.First, r.Second, r.Years); err == nil && curve.N >= minRecaptured {
			g.curves[taxon] = curve
		}
	}
	for name, m := range f.models {
		if m.names[0] != bodyLength || name == "" {
			continue
		}
		top := math.Inf(-1)
		for _, p := range m.sizes {
			if p.n >= firmlyMeasured {
				top = max(top, p.centre+largestOf*p.scale)
			}
		}
		if finite(top) {
			g.largest[hashOrNone(name)] = top
		}
	}
	return g
}

// learnRate takes over the growth of a measurement, in thousandths per day, where a
// tenth of many recaptures grew faster than animals are believed to: then there are
// young among them, and what is believed is of others.
func (g *growths) learnRate(measurement string, rates *statistics.Sample) {
	if rates.Len() < minRecaptured {
		return
	}
	if fast := rates.Ranked(int((1-fastShare)*float64(rates.Len()))) / 1000; fast > math.Log1p(g.perDay) {
		g.rates[measurement] = rate{timesFast * fast, rates.Len()}
	}
}

// byRate returns the log growth of a measurement by the rate that is believed, and
// what that rests on.
func (g *growths) byRate(measurement string, days float64) (most float64, why string) {
	if r, ok := g.rates[measurement]; ok {
		return r.perDay * days, measurement
	}
	return math.Log1p(g.perDay * days), "rate"
}

// believed returns the log growth that is believed of an animal, and in words what it
// rests on.
func (g *growths) believed(taxon uint64, length, days float64) (most float64, why string) {
	if curve, ok := g.curves[taxon]; ok && taxon != 0 {
		grown := max(0, curve.Increment(length, days/daysPerYear)) + beyondCurve*curve.Scale
		return math.Log1p(grown / length), "curve"
	}
	most, why = g.byRate(bodyLength, days)
	if top, ok := g.largest[taxon]; ok {
		if rest := max(0, top-math.Log(length)); rest < most {
			return rest, "largest"
		}
	}
	return most, why
}

// basis describes what a growth rests on, as an insertion.
func (g *growths) basis(taxon uint64, why string) string {
	switch why {
	case "curve":
		c := g.curves[taxon]
		return fmt.Sprintf(" (estimated from %d recaptures, towards %s mm at a rate of %s a year)", c.N, figures(c.Asymptote, 3), figures(c.Rate, 2))
	case "largest":
		return fmt.Sprintf(" (up to %s mm, about the largest of its kind here)", figures(math.Exp(g.largest[taxon]), 3))
	}
	if r, ok := g.rates[why]; ok {
		return fmt.Sprintf(" (estimated from %d recaptures)", r.n)
	}
	return ""
}
