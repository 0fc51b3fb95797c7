package screen

import "spadefoot/pipeline/statistics"

// fitPlaces finds centre and scale of each group of enough animals and of all
// together.
func (m *model) fitPlaces(t *taxonSummary, s Settings) {
	m.places = map[sampleKey]place{}
	for k, sample := range t.samples() {
		if (k.stage != "" || k.sex != "") && sample.Len() >= s.MinGroup {
			m.places[k] = placeOf(sample, s)
		}
	}
	for name, sample := range t.pooled() {
		if sample.Len() >= s.MinGroup {
			m.places[sampleKey{measurement: name}] = placeOf(sample, s)
		}
	}
}

func placeOf(sample *statistics.Sample, s Settings) place {
	c := sample.Centre()
	p := place{n: c.N, centre: c.Median, rawMAD: c.RawMAD}
	p.scale, p.way = c.Scale(s.MinScale)
	p.widened = widening(0.37*float64(c.N), s.TailFreedom)
	p.below, p.above = p.scale, p.scale
	if c.N >= minForSides {
		p.sides(sample)
	}
	return p
}

const (
	minForSides = 100 // values
	sideGap     = 3   // mean gaps at the end of so many normal values
	otherSide   = 1.3 // a side is wider than the middle tells, from this ratio on
)

// sides makes a side of a group as wide as the values tell that hang together
// with it: the young of many animals whose stage is not known trail far below the
// grown. Values that stand apart, as slips do, are left out. The width is that of
// a normal distribution whose largest of n values is expected at the end (Blom
// 1958).
func (p *place) sides(sample *statistics.Sample) {
	n := float64(p.n)
	end := statistics.NormalQuantile((n - 0.375) / (n + 0.25))
	low, high := sample.Together(sideGap * p.scale / end)
	if below := (p.centre - low) / end; below > otherSide*p.scale {
		p.below = below
	}
	if above := (high - p.centre) / end; above > otherSide*p.scale {
		p.above = above
	}
}

// side returns the scale of the side of the group that a value lies on.
func (p *place) side(log float64) float64 {
	if log < p.centre {
		return p.below
	}
	return p.above
}

// placeFor returns the group that a value is judged in, pooled where its own is
// too small, and false where even the taxon is.
func (m *model) placeFor(measurement, stage, sex string) (p place, pooled, ok bool) {
	if p, ok = m.places[sampleKey{measurement, stage, sex}]; ok {
		return p, stage == "" && sex == "", true
	}
	p, ok = m.places[sampleKey{measurement: measurement}]
	return p, true, ok
}

// widening returns the factor on a scale known to nu degrees of freedom that
// makes thresholds for t with base degrees of freedom hold about equally often.
func widening(nu, base float64) float64 {
	const tail = 1 - 1e-4
	if nu >= base {
		return 1
	}
	t := func(nu float64) float64 { return statistics.StudentQuantile(tail, nu) }
	return max(1, t(max(nu, 2))/t(base))
}
