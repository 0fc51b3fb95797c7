package place

import (
	"strconv"
	"strings"
)

// undamaged returns what a run of digits beyond 180 may have been: decimal degrees
// that lost their point, or degrees, minutes and seconds without a letter.
func (a angle) undamaged(longitude bool) []string {
	if a.parts != 1 || a.letter != 0 || strings.Contains(a.first, ".") || len(a.first) < 4 {
		return nil
	}
	minus, most := "", 90.0
	if a.value < 0 {
		minus = "-"
	}
	if longitude {
		most = 180
	}
	var likely []string
	for n := 2; n <= 3; n++ {
		v, err := strconv.ParseFloat(a.first[:n], 64)
		if err == nil && v < most && (n == 2 || longitude && v >= 100) {
			likely = append(likely, minus+a.first[:n]+"."+a.first[n:])
		}
	}
	parts, err := unpack(token{text: a.first}, a.first, longitude)
	for i, t := range parts {
		v, _ := strconv.ParseFloat(t.text, 64)
		if i > 0 && v >= 60 || i == 0 && v >= most {
			err = errHalf
		}
	}
	if err == nil {
		s := minus
		for i, t := range parts {
			s += t.text + [...]string{"°", "'", `"`}[i]
		}
		likely = append(likely, s)
	}
	return likely
}
