package place

import "math"

// nearlyOff is how far nearly may be off, in metres, for shifts of up to two
// kilometres: what the curvature of the Earth and the height above the ellipsoid
// make of them stays below half of it (see the test over the whole table).
const nearlyOff = 0.1

// spot is a place on the ellipsoid with what all shifts there need.
type spot struct {
	sinLat, cosLat, sinLon, cosLon float64
	x, y, z                        float64 // geocentric, on WGS 84
}

func spotAt(lat, lon float64) spot {
	var s spot
	s.sinLat, s.cosLat = math.Sincos(lat * degree)
	s.sinLon, s.cosLon = math.Sincos(lon * degree)
	s.x, s.y, s.z = s.geocentric(wgs84Ellipsoid)
	return s
}

// geocentric returns the same latitude and longitude on an ellipsoid.
func (s *spot) geocentric(e ellipsoid) (x, y, z float64) {
	e2 := e.f * (2 - e.f)
	n := e.a / math.Sqrt(1-e2*s.sinLat*s.sinLat)
	return n * s.cosLat * s.cosLon, n * s.cosLat * s.sinLon, n * (1 - e2) * s.sinLat
}

// nearly is about the distance in metres by which a shift moves the spot: the
// shift of the geocentric position, laid onto the plane that touches the
// ellipsoid there.
func (s *spot) nearly(t *shift, x, y, z float64) float64 {
	const arcSecond, million = degree / 3600, 1e-6
	rx, ry, rz, k := t.RX*arcSecond, t.RY*arcSecond, t.RZ*arcSecond, t.S*million
	dx := x + t.DX + k*x - rz*y + ry*z - s.x
	dy := y + t.DY + k*y + rz*x - rx*z - s.y
	dz := z + t.DZ + k*z - ry*x + rx*y - s.z
	east := -s.sinLon*dx + s.cosLon*dy
	north := -s.sinLat*(s.cosLon*dx+s.sinLon*dy) + s.cosLat*dz
	return math.Sqrt(east*east + north*north)
}
