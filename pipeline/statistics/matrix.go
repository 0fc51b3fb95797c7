package statistics

import (
	"cmp"
	"math"
	"slices"
)

// Invert turns a symmetric n × n matrix, of which it reads the lower half, into
// its inverse, by way of Cholesky's triangle; false where the matrix is not
// positive definite. The inverse of the triangle is left in the lower half of
// spare, which is as large. Covariances of one animal are so small and so many
// that it pays to write this out.
func Invert(m, spare []float64, n int) bool {
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

// inverted returns the inverse of a covariance of n columns, the inverse of its
// Cholesky triangle, and the logarithm of its determinant; false where it is
// not positive definite, or its condition number in the 1-norm is above limit.
func inverted(cov []float64, n int, limit float64) (inverse, triangle []float64, logDet float64, ok bool) {
	inverse, triangle = append([]float64(nil), cov...), make([]float64, n*n)
	if !Invert(inverse, triangle, n) || !(norm(cov, n)*norm(inverse, n) <= limit) {
		return nil, nil, 0, false
	}
	for i := range n {
		logDet -= 2 * math.Log(triangle[i*n+i])
	}
	return inverse, triangle, logDet, true
}

// norm is the largest sum of magnitudes of a row.
func norm(m []float64, n int) float64 {
	largest := 0.0
	for i := range n {
		sum := 0.0
		for _, v := range m[i*n : i*n+n] {
			sum += math.Abs(v)
		}
		largest = math.Max(largest, sum)
	}
	return largest
}

// eigen returns the eigenvalues of a symmetric n × n matrix and, in the columns
// of vectors, its eigenvectors of length 1, in no order, by Jacobi's rotations
// (Golub and Van Loan 2013, Matrix Computations, 8.5). The matrix is used up.
func eigen(m []float64, n int) (values, vectors []float64) {
	vectors = make([]float64, n*n)
	for i := range n {
		vectors[i*n+i] = 1
	}
	for range 60 { // each sweep squares what is left; six or seven do
		rest := 0.0
		for p := range n {
			for q := range p {
				rest += math.Abs(m[p*n+q])
				rotate(m, vectors, q, p, n)
			}
		}
		if rest == 0 {
			break
		}
	}
	values = make([]float64, n)
	for i := range n {
		values[i] = m[i*n+i]
	}
	return values, vectors
}

// rotate turns the plane of p and q so that their element becomes 0.
func rotate(m, vectors []float64, p, q, n int) {
	off := m[p*n+q]
	if off == 0 {
		return
	}
	theta := (m[q*n+q] - m[p*n+p]) / (2 * off)
	t := math.Copysign(1, theta) / (math.Abs(theta) + math.Hypot(theta, 1))
	c := 1 / math.Hypot(t, 1)
	s := t * c
	for k := range n {
		kp, kq := m[k*n+p], m[k*n+q]
		m[k*n+p], m[k*n+q] = c*kp-s*kq, s*kp+c*kq
	}
	for k := range n {
		pk, qk := m[p*n+k], m[q*n+k]
		m[p*n+k], m[q*n+k] = c*pk-s*qk, s*pk+c*qk
		kp, kq := vectors[k*n+p], vectors[k*n+q]
		vectors[k*n+p], vectors[k*n+q] = c*kp-s*kq, s*kp+c*kq
	}
	m[p*n+q], m[q*n+p] = 0, 0
}

// DiscriminantAxes solves the eigenvalue problem of the covariance between
// classes in the metric of that within them, both n × n, row by row (Fisher
// 1936, Annals of Eugenics 7: 179–188; Rao 1948, J. R. Stat. Soc. B 10:
// 159–203). Each axis has a variance of 1 within classes, its largest
// coefficient is positive, and the one that parts classes most comes first. Nil
// where the covariance within has a condition number above 1e10.
func DiscriminantAxes(within, between []float64, n int) [][]float64 {
	_, t, _, ok := inverted(within, n, 1e10)
	if !ok {
		return nil
	}
	half, whitened := make([]float64, n*n), make([]float64, n*n)
	for i := range n {
		for j := range n {
			for k := range i + 1 {
				half[i*n+j] += t[i*n+k] * between[k*n+j]
			}
		}
	}
	for i := range n {
		for j := range i + 1 {
			sum := 0.0
			for k := range j + 1 {
				sum += half[i*n+k] * t[j*n+k]
			}
			whitened[i*n+j], whitened[j*n+i] = sum, sum
		}
	}
	values, vectors := eigen(whitened, n)
	axes := make([][]float64, n)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(values[j], values[i]) })
	for a, column := range order {
		axes[a] = make([]float64, n)
		for j := range n {
			for k := j; k < n; k++ {
				axes[a][j] += t[k*n+j] * vectors[k*n+column]
			}
		}
		turnPositive(axes[a])
	}
	return axes
}

// turnPositive turns an axis so that its largest coefficient is positive.
func turnPositive(v []float64) {
	largest := 0.0
	for _, x := range v {
		if math.Abs(x) > math.Abs(largest) {
			largest = x
		}
	}
	if largest < 0 {
		for i := range v {
			v[i] = -v[i]
		}
	}
}
