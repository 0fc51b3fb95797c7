package statistics

import "math"

// Mean returns the mean of a sample; NaN of none.
func Mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// MeanSD returns the mean of a sample and its standard deviation (divisor n−1),
// by the corrected two-pass algorithm (Chan, Golub and LeVeque 1983, The
// American Statistician 37: 242–247, 1.7).
func MeanSD(x []float64) (mean, sd float64) {
	mean = Mean(x)
	return mean, math.Sqrt(products(x, x, mean, mean) / float64(len(x)-1))
}

// correlation returns the correlation of two samples of one length.
func correlation(x, y []float64) float64 {
	mx, my := Mean(x), Mean(y)
	return products(x, y, mx, my) / math.Sqrt(products(x, x, mx, mx)*products(y, y, my, my))
}

// regression returns the line of least squares of y on x.
func regression(x, y []float64) Line {
	mx, my := Mean(x), Mean(y)
	slope := products(x, y, mx, my) / products(x, x, mx, mx)
	return Line{Intercept: my - slope*mx, Slope: slope}
}

// products sums the products of deviations from two means, corrected for what
// the means themselves were rounded by.
func products(x, y []float64, mx, my float64) float64 {
	var sum, offX, offY float64
	for i, v := range x {
		dx, dy := v-mx, y[i]-my
		sum += dx * dy
		offX += dx
		offY += dy
	}
	return sum - offX*offY/float64(len(x))
}
