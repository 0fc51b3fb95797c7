package statistics

import "math"

// moments is a mean and a covariance with its inverse, in flat arrays because
// distances to them are taken many thousands of times.
type moments struct {
	mean    []float64
	cov     []float64 // p × p, row by row
	inverse []float64
	logDet  float64
}

// momentsOf returns the mean and the covariance (divisor k−1) of k rows.
func momentsOf(rows [][]float64, idx []int) *moments {
	p, k := len(rows[0]), float64(len(idx))
	m := &moments{mean: make([]float64, p), cov: make([]float64, p*p)}
	for _, at := range idx {
		for j, v := range rows[at] {
			m.mean[j] += v
		}
	}
	for j := range m.mean {
		m.mean[j] /= k
	}
	diff := make([]float64, p)
	for _, at := range idx {
		for j, v := range rows[at] {
			diff[j] = v - m.mean[j]
		}
		for a := range p {
			for b := 0; b <= a; b++ {
				m.cov[a*p+b] += diff[a] * diff[b]
			}
		}
	}
	for a := range p {
		for b := 0; b <= a; b++ {
			m.cov[a*p+b] /= k - 1
			m.cov[b*p+a] = m.cov[a*p+b]
		}
	}
	return m
}

func (m *moments) scale(by float64) {
	for i := range m.cov {
		m.cov[i] *= by
	}
}

// factor computes the inverse and the log determinant; false if singular, by
// the size of the pivots against the variances.
func (m *moments) factor() bool {
	p := len(m.mean)
	inverse, triangle, logDet, ok := inverted(m.cov, p, math.Inf(1))
	if !ok {
		return false
	}
	for j := range p {
		if u := triangle[j*p+j]; !(1 > 1e-12*m.cov[j*p+j]*u*u) {
			return false
		}
	}
	m.inverse, m.logDet = inverse, logDet
	return !math.IsNaN(m.logDet)
}

// distance2 returns the squared Mahalanobis distance of a row.
func (m *moments) distance2(row []float64) float64 {
	p := len(m.mean)
	var sum float64
	for a := range p {
		da := row[a] - m.mean[a]
		line := m.inverse[a*p : a*p+a]
		var cross float64
		for b, v := range line {
			cross += v * (row[b] - m.mean[b])
		}
		sum += da * (2*cross + m.inverse[a*p+a]*da)
	}
	return sum
}

func (m *moments) matrix() [][]float64 {
	p := len(m.mean)
	out := make([][]float64, p)
	for i := range out {
		out[i] = append([]float64(nil), m.cov[i*p:(i+1)*p]...)
	}
	return out
}
