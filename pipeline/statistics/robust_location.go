package statistics

import (
	"math"
	"slices"
)

// MADScale makes the median absolute deviation of a normal sample estimate
// its standard deviation: 1 over the 0.75 quantile of the normal, to the four
// decimals that R's stats::mad uses.
const MADScale = 1.4826

// MeanADScale makes the mean absolute deviation of a normal sample estimate
// its standard deviation: √(π/2), to the six decimals of Iglewicz and Hoaglin
// (1993).
const MeanADScale = 1.253314

// Median returns the middle value, or the mean of the two middle values. It is
// NaN for an empty slice.
func Median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return medianInPlace(slices.Clone(x))
}

// RawMAD returns the median absolute deviation from the median, not scaled. It
// is NaN for an empty slice.
func RawMAD(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	d := slices.Clone(x)
	m := medianInPlace(d)
	for i, v := range d {
		d[i] = math.Abs(v - m)
	}
	return medianInPlace(d)
}

// MeanAD returns the mean absolute deviation from centre. It is NaN for an
// empty slice.
func MeanAD(x []float64, centre float64) float64 {
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - centre)
	}
	slices.Sort(d) // a fixed order of summing
	var sum float64
	for _, v := range d {
		sum += v
	}
	return sum / float64(len(d))
}

// medianInPlace sorts part of x and returns its median.
func medianInPlace(x []float64) float64 {
	n := len(x)
	k := n / 2
	hi := selectKth(x, k)
	if n%2 == 1 {
		return hi
	}
	return (slices.Max(x[:k]) + hi) / 2
}

// selectKth moves the k-th smallest value (from 0) to x[k], smaller ones
// before it, and returns it: Hoare's quickselect with a median-of-three pivot.
func selectKth(x []float64, k int) float64 {
	lo, hi := 0, len(x)-1
	for hi-lo > 16 {
		p := medianOfThree(x[lo], x[(lo+hi)/2], x[hi])
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for p < x[j] {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return x[k]
		}
	}
	slices.Sort(x[lo : hi+1])
	return x[k]
}

func medianOfThree(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}
