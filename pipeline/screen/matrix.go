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
