package quality

import (
	"strconv"
	"strings"
)

// trim takes the characters that the standard counts as empty off both ends.
func trim(s string) string {
	return strings.TrimFunc(s, func(r rune) bool { return r <= ' ' })
}

// integer reads a whole number in decimal digits, white space around it
// allowed.
func integer(s string) (n int, ok bool) {
	s = trim(s)
	if s == "" || strings.Contains(s, "_") {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}

// number reads a decimal number, white space around it allowed. Infinities, NaN
// and other number bases are not numbers here.
func number(s string) (x float64, ok bool) {
	s = trim(s)
	for i := 0; i < len(s); i++ {
		if c := s[i]; (c < '0' || c > '9') && c != '+' && c != '-' && c != '.' && c != 'e' && c != 'E' {
			return 0, false
		}
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil
}

// place reads the coordinates of a record, each within its range.
func (r Record) place() (lat, lon float64, ok bool) {
	lat, okLat := latitude(r("decimalLatitude"))
	lon, okLon := longitude(r("decimalLongitude"))
	return lat, lon, okLat && okLon
}

// latitude and longitude read a coordinate within its range.
func latitude(s string) (float64, bool) {
	x, ok := number(s)
	return x, ok && x >= -90 && x <= 90
}

func longitude(s string) (float64, bool) {
	x, ok := number(s)
	return x, ok && x >= -180 && x <= 180
}
