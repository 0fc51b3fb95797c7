package place

import "math"

// An ellipsoid of revolution: equatorial radius in metres, flattening.
type ellipsoid struct{ a, f float64 }

var wgs84Ellipsoid = ellipsoid{6378137, 1 / 298.257223563}

const (
	degree    = math.Pi / 180
	meanEarth = 6371008.8 // metres; mean radius (2a+b)/3 of GRS 80
)

// metresPerDegree returns the length of one degree of latitude and of longitude
// at a latitude, from the radii of curvature of the ellipsoid.
func (e ellipsoid) metresPerDegree(lat float64) (north, east float64) {
	e2 := e.f * (2 - e.f)
	s, c := math.Sincos(lat * degree)
	w := math.Sqrt(1 - e2*s*s)
	return e.a * (1 - e2) / (w * w * w) * degree, e.a / w * math.Abs(c) * degree
}

// Distance is the length in metres of the shortest line between two places on
// the WGS 84 ellipsoid, by the inverse method of Vincenty (1975, "Direct and
// inverse solutions of geodesics on the ellipsoid with application of nested
// equations", Survey Review 23), which is good to 0.5 mm. Close to antipodal
// places its iteration does not end; there the great circle on a sphere of
// mean radius is in, which is good to 0.6 %.
func Distance(lat1, lon1, lat2, lon2 float64) float64 {
	const rounds = 100
	e := wgs84Ellipsoid
	b := e.a * (1 - e.f)
	l := wrap(lon2-lon1) * degree
	s1, c1 := math.Sincos(math.Atan((1 - e.f) * math.Tan(lat1*degree)))
	s2, c2 := math.Sincos(math.Atan((1 - e.f) * math.Tan(lat2*degree)))
	lambda := l
	for range rounds {
		sl, cl := math.Sincos(lambda)
		sinSigma := math.Hypot(c2*sl, c1*s2-s1*c2*cl)
		if sinSigma == 0 {
			return 0
		}
		cosSigma := s1*s2 + c1*c2*cl
		sigma := math.Atan2(sinSigma, cosSigma)
		sinAlpha := c1 * c2 * sl / sinSigma
		cos2Alpha := 1 - sinAlpha*sinAlpha
		var cos2M float64 // 0 on the equator
		if cos2Alpha > 1e-15 {
			cos2M = cosSigma - 2*s1*s2/cos2Alpha
		}
		c := e.f / 16 * cos2Alpha * (4 + e.f*(4-3*cos2Alpha))
		next := l + (1-c)*e.f*sinAlpha*(sigma+c*sinSigma*(cos2M+c*cosSigma*(2*cos2M*cos2M-1)))
		if math.Abs(next) > math.Pi || math.IsNaN(next) {
			break
		}
		if math.Abs(next-lambda) > 1e-13 {
			lambda = next
			continue
		}
		u2 := cos2Alpha * (e.a*e.a - b*b) / (b * b)
		ca := 1 + u2/16384*(4096+u2*(-768+u2*(320-175*u2)))
		cb := u2 / 1024 * (256 + u2*(-128+u2*(74-47*u2)))
		delta := cb * sinSigma * (cos2M + cb/4*(cosSigma*(2*cos2M*cos2M-1)-
			cb/6*cos2M*(4*sinSigma*sinSigma-3)*(4*cos2M*cos2M-3)))
		return b * ca * (sigma - delta)
	}
	return greatCircle(lat1, lon1, lat2, lon2)
}

// greatCircle is the haversine distance on a sphere of mean radius.
func greatCircle(lat1, lon1, lat2, lon2 float64) float64 {
	s1 := math.Sin((lat2 - lat1) * degree / 2)
	s2 := math.Sin((lon2 - lon1) * degree / 2)
	h := s1*s1 + math.Cos(lat1*degree)*math.Cos(lat2*degree)*s2*s2
	return 2 * meanEarth * math.Asin(math.Sqrt(math.Min(1, h)))
}
