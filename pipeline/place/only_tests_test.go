package place

import (
	"fmt"
	"math"
)

// What only tests call.

// forward projects latitude and longitude from the central meridian (degrees)
// to easting and northing from the origin (metres), at scale 1.
func (m mercator) forward(lat, dlon float64) (x, y float64) {
	tau := m.conformal(math.Tan(lat * degree))
	sl, cl := math.Sincos(dlon * degree)
	xi1, eta1 := math.Atan2(tau, cl), math.Asinh(sl/math.Hypot(tau, cl))
	xi, eta := xi1, eta1
	for j, a := range m.alpha() {
		k := 2 * float64(j+1)
		xi += a * math.Sin(k*xi1) * math.Cosh(k*eta1)
		eta += a * math.Cos(k*xi1) * math.Sinh(k*eta1)
	}
	return m.radius * eta, m.radius * xi
}

// alpha is the series of the way there (equation 35).
func (m mercator) alpha() [6]float64 {
	f := 1 - math.Sqrt(1-m.e2)
	n := f / (2 - f)
	n2 := n * n
	n3, n4 := n2*n, n2*n2
	n5, n6 := n4*n, n4*n2
	return [6]float64{
		n/2 - n2*2/3 + n3*5/16 + n4*41/180 - n5*127/288 + n6*7891/37800,
		n2*13/48 - n3*3/5 + n4*557/1440 + n5*281/630 - n6*1983433/1935360,
		n3*61/240 - n4*103/140 + n5*15061/26880 + n6*167603/181440,
		n4*49561/161280 - n5*179/168 + n6*6601661/7257600,
		n5*34729/80640 - n6*3418889/1995840,
		n6 * 212378941 / 319334400,
	}
}

// MGRS returns the square that holds a place on WGS 84. digits is 0 (100 km) to
// 5 (1 m) for each of easting and northing. The digits are cut off, not
// rounded, as the system asks.
func MGRS(lat, lon float64, digits int) (string, error) {
	if digits < 0 || digits > 5 {
		return "", fmt.Errorf("%d digits: want 0 (100 km) to 5 (1 m)", digits)
	}
	number, band, easting, northing, err := UTM(lat, lon)
	if err != nil {
		return "", err
	}
	if lat < 0 && northing >= falseNorth { // just south of the equator
		northing = math.Nextafter(falseNorth, 0)
	}
	column := int(easting / square)
	row := (int(northing/square) + rowShift(number)) % len(rowLetters)
	s := fmt.Sprintf("%02d%c%c%c", number, band, columnLetters[(number-1)%3*8+column-1], rowLetters[row])
	if digits == 0 {
		return s, nil
	}
	unit := math.Pow(10, float64(5-digits))
	return s + fmt.Sprintf("%0*d%0*d", digits, int(math.Mod(easting, square)/unit), digits, int(math.Mod(northing, square)/unit)), nil
}

// UTM projects a place on WGS 84 to its zone, band, easting and northing in
// metres. Zones follow the exceptions for south-west Norway and Svalbard. It
// fails outside 80° S to 84° N, where UTM is not used.
func UTM(lat, lon float64) (number int, band byte, easting, northing float64, err error) {
	if !(lat >= -80 && lat <= 84) || math.IsNaN(lon) || math.IsInf(lon, 0) {
		return 0, 0, 0, 0, fmt.Errorf("latitude %g, longitude %g: UTM reaches from 80° S to 84° N", lat, lon)
	}
	lon = wrap(lon)
	if lon == 180 {
		lon = -180
	}
	band = bandOf(lat)
	number = zoneOf(lat, lon, band)
	easting, northing = toGrid(wgs84Ellipsoid, number, lat < 0, lat, lon)
	return number, band, easting, northing, nil
}

func zoneOf(lat, lon float64, band byte) int {
	number := int(math.Floor((lon+180)/6)) + 1
	switch {
	case band == 'V' && number == 31 && lon >= 3:
		return 32
	case band == 'X' && lon >= 0 && lon < 42:
		return []int{31, 33, 35, 37}[min(int((lon+3)/12), 3)]
	}
	return min(max(number, 1), 60)
}

func toGrid(e ellipsoid, number int, south bool, lat, lon float64) (easting, northing float64) {
	x, y := newMercator(e).forward(lat, wrap(lon-centralMeridian(number)))
	easting, northing = x*utmScale+falseEast, y*utmScale
	if south {
		northing += falseNorth
	}
	return easting, northing
}
