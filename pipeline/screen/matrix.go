package screen

import "math"

var nan = math.NaN()

func identity(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
		m[i][i] = 1
	}
	return m
}

func correlation(cov [][]float64, a, b int) float64 {
	return cov[a][b] / math.Sqrt(cov[a][a]*cov[b][b])
}

// invert turns a symmetric matrix, of which it reads the lower half, into its
// inverse, by way of Cholesky's triangle, which it leaves in spare; false where
// the matrix is not positive definite. Covariances of one animal are so small
// and so many that it pays to write this out.
func invert(m, spare []float64, n int) bool {
	t := spare
	for i := range n {
		row := m[i*n : i*n+n]
		ti := t[i*n : i*n+n]
		for j := range i {
			tj := t[j*n : j*n+n]
			sum := row[j]
			for k := range j {
				sum -= ti[k] * tj[k]
			}
			ti[j] = sum * tj[j] // the diagonal holds reciprocals
		}
		pivot := row[i]
		for k := range i {
			pivot -= ti[k] * ti[k]
		}
		if !(pivot > 0) || math.IsInf(pivot, 1) {
			return false
		}
		ti[i] = 1 / math.Sqrt(pivot)
	}
	// The triangle's inverse, in place.
	for j := range n {
		for i := j + 1; i < n; i++ {
			sum := 0.0
			for k := j; k < i; k++ {
				sum -= t[i*n+k] * t[k*n+j]
			}
			t[i*n+j] = sum * t[i*n+i]
		}
	}
	for i := range n {
		for j := range i + 1 {
			sum := 0.0
			for k := i; k < n; k++ {
				sum += t[k*n+i] * t[k*n+j]
			}
			m[i*n+j], m[j*n+i] = sum, sum
		}
	}
	return true
}
