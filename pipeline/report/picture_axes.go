package report

import (
	"math"

	"spadefoot/pipeline/statistics"
)

// discriminantAxes returns the directions of greatest spread between taxa for
// the spread within, the strongest first, from the animals without a doubt; nil
// where the measurements don't allow it.
func discriminantAxes(animals []specimen, taxa int) [][]float64 {
	p := len(animals[0].logs)
	means, total, n, all := make([]float64, taxa*p), make([]float64, p), make([]float64, taxa), 0.0
	for _, a := range animals {
		if a.no != 0 {
			continue
		}
		n[a.taxon]++
		all++
		for j, v := range a.logs {
			means[a.taxon*p+j] += v
			total[j] += v
		}
	}
	for g := range taxa {
		for j := range p {
			means[g*p+j] /= n[g]
		}
	}
	within, between, d := make([]float64, p*p), make([]float64, p*p), make([]float64, p)
	for _, a := range animals {
		if a.no != 0 {
			continue
		}
		for j, v := range a.logs {
			d[j] = v - means[a.taxon*p+j]
		}
		addSquare(within, d, 1/math.Max(1, all-float64(taxa)))
	}
	for g := range taxa {
		for j := range p {
			d[j] = means[g*p+j] - total[j]/all
		}
		addSquare(between, d, n[g]/float64(taxa-1))
	}
	axes := statistics.DiscriminantAxes(within, between, p)
	return axes[:min(taxa-1, len(axes))]
}

// addSquare adds the products of the elements of d, times a weight.
func addSquare(m, d []float64, weight float64) {
	for i, v := range d {
		for j, w := range d {
			m[i*len(d)+j] += weight * (v * w)
		}
	}
}
