package screen

import (
	"gonum.org/v1/gonum/stat/distuv"

	"spadefoot/pipeline/statistics"
)

// fitPlaces finds centre and scale of each group of enough animals and of all
// together.
func (m *model) fitPlaces(t *taxonSummary, s Settings) {
	m.places = map[sampleKey]place{}
	for k, sample := range t.samples() {
		if (k.stage != "" || k.sex != "") && sample.Len() >= s.MinGroup {
			m.places[k] = placeOf(sample.Centre(), s)
		}
	}
	for name, sample := range t.pooled() {
		if sample.Len() >= s.MinGroup {
			m.places[sampleKey{measurement: name}] = placeOf(sample.Centre(), s)
		}
	}
}

func placeOf(c statistics.Centre, s Settings) place {
	p := place{n: c.N, centre: c.Median, rawMAD: c.RawMAD}
	p.scale, p.way = c.Scale(s.MinScale)
	p.widened = widening(0.37*float64(c.N), s.TailFreedom)
	return p
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
	t := func(nu float64) float64 { return distuv.StudentsT{Sigma: 1, Nu: nu}.Quantile(tail) }
	return max(1, t(max(nu, 2))/t(base))
}
