package statistics

import "math"

// Regression is a robust fit of one measurement on several.
type Regression struct {
	Coefficients []float64
	Residuals    []float64
	Loss         float64 // sum of the bisquare's losses, as squares of residuals over 2·scale²
}

// BisquareRegression is the M-estimate of y on the columns of each row of x, of
// 95 % efficiency, at a known scale and from the residuals of a start: the second
// step of MM-estimation (Yohai 1987), as MMLine's. A column is drawn to its prior as if
// weight[k]/scale² were known of it (ridge; nil for none). ErrTooFew where the
// columns are not independent.
func BisquareRegression(x [][]float64, y, start []float64, scale float64, prior, weight []float64) (Regression, error) {
	n := len(y)
	if len(x) != n || len(start) != n {
		return Regression{}, errUnequal
	}
	if n == 0 || !(scale > 0) {
		return Regression{}, ErrTooFew
	}
	k := len(x[0])
	r := Regression{Coefficients: make([]float64, k), Residuals: append([]float64{}, start...)}
	normal, spare, right, next := make([]float64, k*k), make([]float64, k*k), make([]float64, k), make([]float64, k)
	for range 200 {
		clear(normal)
		clear(right)
		for a := range k {
			if weight != nil {
				normal[a*k+a], right[a] = weight[a], weight[a]*prior[a]
			}
		}
		for i := range n {
			w := bisquareWeight(r.Residuals[i]/scale, bisquareM)
			if w == 0 {
				continue
			}
			for a, v := range x[i] {
				right[a] += w * v * y[i]
				for b := range a + 1 {
					normal[a*k+b] += w * v * x[i][b]
				}
			}
		}
		if !Invert(normal, spare, k) {
			return Regression{}, ErrTooFew
		}
		for a := range k {
			next[a] = 0
			for b := range k {
				next[a] += normal[max(a, b)*k+min(a, b)] * right[b]
			}
		}
		moved := 0.0
		for i := range n {
			fitted := 0.0
			for a, v := range x[i] {
				fitted += v * next[a]
			}
			d := y[i] - fitted
			moved = max(moved, math.Abs(d-r.Residuals[i]))
			r.Residuals[i] = d
		}
		copy(r.Coefficients, next)
		if moved <= 1e-9*scale {
			break
		}
	}
	for _, d := range r.Residuals {
		r.Loss += bisquareM * bisquareM / 6 * bisquareRho(d/scale, bisquareM)
	}
	return r, nil
}
