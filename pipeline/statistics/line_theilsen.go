package statistics

import (
	"cmp"
	"errors"
	"math/rand/v2"
	"slices"
)

// Line is y = Intercept + Slope·x.
type Line struct {
	Intercept float64
	Slope     float64
}

// At returns the height of the line at x.
func (l Line) At(x float64) float64 { return l.Intercept + l.Slope*x }

var (
	errUnequal  = errors.New("x and y differ in length")
	errNoSpread = errors.New("all x are equal")
)

// theilSen returns the line whose slope is the median of the slopes between at
// most so many pairs of points, which are in the order of sortedPairs; where there
// are more pairs, so many are chosen by a fixed seed.
func theilSen(x, y []float64, pairs int) (Line, error) {
	slopes := pairSlopes(x, y, pairs)
	if len(slopes) == 0 {
		return Line{}, errNoSpread
	}
	b := medianInPlace(slopes)
	rest := make([]float64, len(x))
	for i := range x {
		rest[i] = y[i] - b*x[i]
	}
	return Line{Intercept: medianInPlace(rest), Slope: b}, nil
}

func pairSlopes(x, y []float64, most int) []float64 {
	n := len(x)
	slopes := make([]float64, 0, min(most, n*(n-1)/2))
	add := func(i, j int) {
		if x[i] != x[j] {
			slopes = append(slopes, (y[j]-y[i])/(x[j]-x[i]))
		}
	}
	if n*(n-1)/2 <= most {
		for i := range n {
			for j := i + 1; j < n; j++ {
				add(i, j)
			}
		}
		return slopes
	}
	draw := rand.New(rand.NewPCG(1950, 1968))
	for range most {
		add(twoOf(draw, n))
	}
	return slopes
}

// twoOf draws two different numbers below n.
func twoOf(draw *rand.Rand, n int) (int, int) {
	i, j := draw.IntN(n), draw.IntN(n-1)
	if j >= i {
		j++
	}
	return i, j
}

// sortedPairs returns copies of x and y ordered by x, then y, so that nothing
// that follows depends on the order in which the points came, and of each the place
// where it was.
func sortedPairs(x, y []float64) (order []int, xs, ys []float64) {
	order = make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		if x[a] != x[b] {
			return cmp.Compare(x[a], x[b])
		}
		return cmp.Compare(y[a], y[b])
	})
	return order, pick(x, order), pick(y, order)
}

func pick(x []float64, order []int) []float64 {
	out := make([]float64, len(order))
	for to, from := range order {
		out[to] = x[from]
	}
	return out
}
