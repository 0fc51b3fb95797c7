package report

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// discriminantAxes returns the directions of greatest spread between taxa for
// the spread within (Fisher 1936; Rao 1948), the strongest first, from the
// animals without a doubt; nil where the measurements don't allow it.
func discriminantAxes(animals []specimen, taxa int) *mat.Dense {
	p := len(animals[0].logs)
	means, total, n, all := mat.NewDense(taxa, p, nil), make([]float64, p), make([]float64, taxa), 0.0
	for _, a := range animals {
		if a.no != 0 {
			continue
		}
		n[a.taxon]++
		all++
		for j, v := range a.logs {
			means.Set(a.taxon, j, means.At(a.taxon, j)+v)
			total[j] += v
		}
	}
	for g := range taxa {
		for j := range p {
			means.Set(g, j, means.At(g, j)/n[g])
		}
	}
	within, between := mat.NewSymDense(p, nil), mat.NewSymDense(p, nil)
	d := mat.NewVecDense(p, nil)
	for _, a := range animals {
		if a.no != 0 {
			continue
		}
		for j, v := range a.logs {
			d.SetVec(j, v-means.At(a.taxon, j))
		}
		within.SymRankOne(within, 1/math.Max(1, all-float64(taxa)), d)
	}
	for g := range taxa {
		for j := range p {
			d.SetVec(j, means.At(g, j)-total[j]/all)
		}
		between.SymRankOne(between, n[g]/float64(taxa-1), d)
	}
	return whitened(within, between, min(taxa-1, p))
}

// whitened solves the eigenvalue problem of between in the metric of within.
func whitened(within, between *mat.SymDense, count int) *mat.Dense {
	var chol mat.Cholesky
	if !chol.Factorize(within) || chol.Cond() > 1e10 {
		return nil
	}
	p := within.SymmetricDim()
	var lower mat.TriDense
	chol.LTo(&lower)
	var inverse mat.TriDense
	if inverse.InverseTri(&lower) != nil {
		return nil
	}
	var half, full mat.Dense
	half.Mul(&inverse, between)
	full.Mul(&half, inverse.T())
	sym := mat.NewSymDense(p, nil)
	for i := range p {
		for j := i; j < p; j++ {
			sym.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(sym, true) {
		return nil
	}
	var vectors, axes mat.Dense
	eigen.VectorsTo(&vectors)
	axes.Mul(inverse.T(), &vectors)
	out := mat.NewDense(p, count, nil)
	for k := range count {
		column := mat.Col(nil, p-1-k, &axes) // eigenvalues ascend
		sign := signOf(column)
		for j, v := range column {
			out.Set(j, k, sign*v)
		}
	}
	return out
}

// signOf turns an axis so that its largest coefficient is positive.
func signOf(v []float64) float64 {
	sign, largest := 1.0, 0.0
	for _, x := range v {
		if math.Abs(x) > largest {
			largest, sign = math.Abs(x), math.Copysign(1, x)
		}
	}
	return sign
}
