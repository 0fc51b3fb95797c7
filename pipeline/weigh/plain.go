package weigh

import (
	"math"
	"strconv"
)

const (
	maxPlaces = 6    // digits after the point of a plain mass
	maxPlain  = 1e15 // below which whole numbers of the last place are exact, and tell decimals apart
)

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6}

// whole returns v as a whole number of units of the d-th decimal place, if it is
// one: of decimals with up to 15 digits no two are stored alike, so v is then
// stored for that decimal and no shorter one.
func whole(v float64, d int) (int64, bool) {
	n := math.Round(v * tens[d])
	if math.Abs(n) >= maxPlain || n/tens[d] != v {
		return 0, false
	}
	return int64(n), true
}

// plainDifference is difference for masses with few digits and a net that is
// not negative: the same sums with whole numbers.
func plainDifference(a, b float64, places int) (v float64, text string, ok bool) {
	for d := max(places, 0); d <= maxPlaces && places >= 0; d++ {
		x, okX := whole(a, d)
		y, okY := whole(b, d)
		if !okX || !okY {
			continue
		}
		if x -= y; x < 0 || 2*x >= maxPlain {
			return 0, "", false
		}
		return float64(x) / tens[d], fixed(x, d, places), true
	}
	return 0, "", false
}

// fixed writes x units of the d-th decimal place with p places, p no more than
// d, rounded half away from zero.
func fixed(x int64, d, p int) string {
	unit := int64(tens[d-p])
	x = (2*x + unit) / (2 * unit)
	var buf [24]byte
	b := strconv.AppendInt(buf[:0], x, 10)
	if p == 0 {
		return string(b)
	}
	for len(b) <= p {
		b = append(b, 0)
		copy(b[1:], b)
		b[0] = '0'
	}
	b = append(b, 0)
	copy(b[len(b)-p:], b[len(b)-p-1:])
	b[len(b)-p-1] = '.'
	return string(b)
}
