package statistics

// classMoments are the sums of one class about its mean: enough for the mean,
// the covariance and the Ledoit–Wolf intensity, and closed under taking one
// case out, so that leaving each case out in turn needs no second pass.
// The square tables are p×p, row by row.
type classMoments struct {
	n      float64
	mean   []float64
	second []float64 // Σ a_j·a_k
	third  []float64 // Σ a_j²·a_k
	fourth []float64 // Σ a_j²·a_k²
}

func classMomentsOf(rows [][]float64, p int) classMoments {
	m := classMoments{n: float64(len(rows)), mean: make([]float64, p),
		second: make([]float64, p*p), third: make([]float64, p*p), fourth: make([]float64, p*p)}
	for _, x := range rows {
		for j, v := range x {
			m.mean[j] += v / m.n
		}
	}
	for _, x := range rows {
		m.addProducts(fromMean(x, m.mean), 1)
	}
	return m
}

// addProducts adds the products of one deviation, or takes them away (sign -1).
func (m *classMoments) addProducts(a []float64, sign float64) {
	p := len(a)
	for j, aj := range a {
		for k, ak := range a {
			i := j*p + k
			m.second[i] += sign * aj * ak
			m.third[i] += sign * aj * aj * ak
			m.fourth[i] += sign * aj * aj * ak * ak
		}
	}
}

// without returns the moments of the class less one of its cases. The products
// of the case are taken away, then the sums are moved to the new mean by the
// binomial expansion of (a-δ). m stays as it was.
func (m classMoments) without(x []float64) classMoments {
	p := len(x)
	out := classMoments{n: m.n - 1, mean: append([]float64(nil), m.mean...),
		second: append([]float64(nil), m.second...),
		third:  append([]float64(nil), m.third...),
		fourth: append([]float64(nil), m.fourth...)}
	if out.n <= 0 {
		return classMomentsOf(nil, p)
	}
	a := fromMean(x, m.mean)
	out.addProducts(a, -1)
	shift := make([]float64, p) // δ, the new mean less the old
	for j := range a {
		shift[j] = -a[j] / out.n
		out.mean[j] += shift[j]
	}
	out.recentre(shift)
	return out
}

// recentre moves sums about the old mean to sums about the old mean plus d,
// where d is the mean of the deviations: Σa = n·d.
func (m *classMoments) recentre(d []float64) {
	p, n := len(d), m.n
	s, c := m.second, m.third
	fourth, third, second := make([]float64, p*p), make([]float64, p*p), make([]float64, p*p)
	for j, dj := range d {
		for k, dk := range d {
			i, back := j*p+k, k*p+j
			sjj, skk, sjk := s[j*p+j], s[k*p+k], s[i]
			fourth[i] = m.fourth[i] - 2*dk*c[i] - 2*dj*c[back] +
				dk*dk*sjj + dj*dj*skk + 4*dj*dk*sjk - 3*n*dj*dj*dk*dk
			third[i] = c[i] - dk*sjj - 2*dj*sjk + 2*n*dj*dj*dk
			second[i] = sjk - n*dj*dk
		}
	}
	m.second, m.third, m.fourth = second, third, fourth
}

func fromMean(x, mean []float64) []float64 {
	d := make([]float64, len(x))
	for j := range x {
		d[j] = x[j] - mean[j]
	}
	return d
}
