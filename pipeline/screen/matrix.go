package screen

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

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

// inverse gives the inverse and the log determinant of a symmetric matrix
// written row by row; false where it is not positive definite.
func inverse(flat []float64, n int) (inv []float64, logDet float64, ok bool) {
	var c mat.Cholesky
	if !c.Factorize(mat.NewSymDense(n, flat)) {
		return nil, 0, false
	}
	var s mat.SymDense
	if err := c.InverseTo(&s); err != nil {
		return nil, 0, false
	}
	inv = make([]float64, n*n)
	for i := range n {
		for j := range n {
			inv[i*n+j] = s.At(i, j)
		}
	}
	return inv, c.LogDet(), true
}
