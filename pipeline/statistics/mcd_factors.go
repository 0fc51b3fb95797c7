package statistics

import "math"

// subsetSize returns h, the number of rows whose covariance is to have the least
// determinant: between (n+p+1)/2 for share 0.5 and n for share 1, linear in
// the share (Rousseeuw and Van Driessen 1999).
func subsetSize(share float64, n, p int) int {
	half := (n + p + 1) / 2
	return int(math.Floor(float64(2*half-n) + 2*float64(n-half)*share))
}

// consistency makes the covariance of the central share of a p-variate normal
// estimate the whole (Croux and Haesbroeck 1999, J. Multivar. Anal. 71:
// 161–190): share / P(χ²(p+2) ≤ χ²(p; share)).
func consistency(p int, share float64) float64 {
	if share >= 1 {
		return 1
	}
	q := ChiSquareQuantile(share, float64(p))
	return share / (1 - ChiSquareSurvival(q, float64(p+2)))
}

// The constants of Pison, Van Aelst and Willems (2002, Metrika 55: 111–123):
// how far the expected determinant of a small normal sample falls short, for
// subsets of half and of seven eighths. For one and two measurements the
// shortfall is e^a/n^b; for more, a and b go with p and follow from two points
// n = 2p² and n = 3p² at which it is −c/p^d. As tabulated in R's robustbase.
type shortfall struct {
	one, two    [2]float64 // a, b
	low, high   [2]float64 // c, d at n = 2p² and n = 3p²
	lowX, highX float64    // 2 and 3
}

var (
	rawHalf   = shortfall{[2]float64{0.262024211897096, 0.604756680630497}, [2]float64{0.673292623522027, 0.691365864961895}, [2]float64{-1.42764571687802, 1.26263336932151}, [2]float64{-1.06141115981725, 1.28907991440387}, 2, 3}
	rawMost   = shortfall{[2]float64{-0.351584646688712, 1.01646567502486}, [2]float64{0.446537815635445, 1.06690782995919}, [2]float64{-0.455179464070565, 1.11192541278794}, [2]float64{-0.294241208320834, 1.09649329149811}, 2, 3}
	againHalf = shortfall{[2]float64{1.11098143415027, 1.5182890270453}, [2]float64{3.11101712909049, 1.91401056721863}, [2]float64{-1.02842572724793, 1.67659883081926}, [2]float64{-0.26800273450853, 1.35968562893582}, 2, 3}
	againMost = shortfall{[2]float64{-0.66046776772861, 0.88939595831888}, [2]float64{0.79473550581058, 1.10081930350091}, [2]float64{-0.544482443573914, 1.25994483222292}, [2]float64{-0.343791072183285, 1.25159004257133}, 2, 3}
)

// at returns 1 − shortfall for n rows of p measurements.
func (s shortfall) at(p, n int) float64 {
	a, b := s.one[0], s.one[1]
	switch {
	case p == 2:
		a, b = s.two[0], s.two[1]
	case p > 2:
		f := float64(p)
		y1 := math.Log(-s.low[0] / math.Pow(f, s.low[1]))
		y2 := math.Log(-s.high[0] / math.Pow(f, s.high[1]))
		x1, x2 := math.Log(s.lowX*f*f), math.Log(s.highX*f*f)
		b = -(y2 - y1) / (x2 - x1)
		a = y1 + b*x1
	}
	return 1 - math.Exp(a)/math.Pow(float64(n), b)
}

// smallSample returns the factor that makes up for few rows, between the shares
// of half, seven eighths and all by straight lines.
func smallSample(half, most shortfall, p, n int, share float64) float64 {
	h, m := half.at(p, n), most.at(p, n)
	if share <= 0.875 {
		return 1 / (h + (m-h)/0.375*(share-0.5))
	}
	return 1 / (m + (1-m)/0.125*(share-0.875))
}
