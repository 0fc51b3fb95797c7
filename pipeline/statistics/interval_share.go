package statistics

import (
	"math"
)

// WilsonInterval returns the interval of a share of k in n at a confidence (0.95)
// by the score method without correction for continuity (Wilson 1927, J. Am.
// Stat. Assoc. 22: 209–212; recommended for small n by Newcombe 1998, Stat. Med.
// 17: 857–872). NaN where n is 0.
func WilsonInterval(k, n int, confidence float64) (low, high float64) {
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	z := NormalQuantile((1 + confidence) / 2)
	size, share := float64(n), float64(k)/float64(n)
	middle := share + z*z/(2*size)
	half := z * math.Sqrt(share*(1-share)/size+z*z/(4*size*size))
	low, high = (middle-half)/(1+z*z/size), (middle+half)/(1+z*z/size)
	if k == 0 {
		low = 0
	}
	if k == n {
		high = 1
	}
	return low, high
}
