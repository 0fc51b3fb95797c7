package place

import (
	"math"
	"strconv"
)

const (
	maxPlainWhole = 3  // digits before the point
	maxPlainPlace = 10 // and behind it
)

// plainAngle reads decimal degrees as most are written, "-78.1360", without
// taking the text apart: what it reads, cell reads the same.
func plainAngle(text string) (angle, bool) {
	a := angle{parts: 1, first: text}
	if len(text) > 0 && text[0] == '-' {
		a.signed, a.first = true, text[1:]
	}
	point := -1
	for i := 0; i < len(a.first); i++ {
		switch b := a.first[i]; {
		case b == '.' && point < 0:
			point = i
		case b < '0' || b > '9':
			return angle{}, false
		}
	}
	whole, decimals := len(a.first), 0
	if point >= 0 {
		whole, decimals = point, len(a.first)-point-1
		if decimals == 0 {
			return angle{}, false
		}
	}
	if whole == 0 || whole > maxPlainWhole || decimals > maxPlainPlace {
		return angle{}, false
	}
	v, err := strconv.ParseFloat(a.first, 64)
	if err != nil || v > 180 {
		return angle{}, false
	}
	a.value, a.step = v, math.Pow(10, -float64(decimals))
	if a.signed {
		a.value = -v
	}
	return a, true
}
