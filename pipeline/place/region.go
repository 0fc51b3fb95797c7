package place

import (
	"math"
	"slices"
)

// LatLon is a place on WGS 84, in degrees.
type LatLon struct{ Latitude, Longitude float64 }

// Region is where a survey's places lie: a robust middle and how far from it
// a place may be before it is doubted.
type Region struct {
	Places         int // how many places it was made from
	Centre         LatLon
	Median, Spread float64 // metres: distances from the middle, their median and scaled median deviation
	Limit          float64 // metres
}

// DefaultReach is the least distance in metres from the middle of a survey at
// which a place is doubted: less than a degree of latitude, more than a
// team walks.
const DefaultReach = 50_000

// NewRegion summarises places. The middle is the median of each component of
// the unit vectors, so that neither single wrong places nor the antimeridian
// move it; the limit is the median distance from it plus five times the scaled
// median absolute deviation, and at least reach (0 for DefaultReach). Places
// that are not numbers are passed over. A region of fewer than three places
// doubts nothing.
func NewRegion(places []LatLon, reach float64) Region {
	if !(reach > 0) {
		reach = DefaultReach
	}
	var xs, ys, zs []float64
	var good []LatLon
	for _, p := range places {
		if !(math.Abs(p.Latitude) <= 90) || !(math.Abs(p.Longitude) <= 360) {
			continue
		}
		sl, cl := math.Sincos(p.Latitude * degree)
		so, co := math.Sincos(p.Longitude * degree)
		xs, ys, zs = append(xs, cl*co), append(ys, cl*so), append(zs, sl)
		good = append(good, p)
	}
	r := Region{Places: len(good), Limit: reach}
	if len(good) == 0 {
		return r
	}
	x, y, z := median(xs), median(ys), median(zs)
	r.Centre = LatLon{math.Atan2(z, math.Hypot(x, y)) / degree, math.Atan2(y, x) / degree}
	far := make([]float64, len(good))
	for i, p := range good {
		far[i] = Distance(r.Centre.Latitude, r.Centre.Longitude, p.Latitude, p.Longitude)
	}
	r.Median = median(slices.Clone(far))
	for i := range far {
		far[i] = math.Abs(far[i] - r.Median)
	}
	r.Spread = 1.4826 * median(far) // consistent with a normal distribution
	r.Limit = max(reach, r.Median+5*r.Spread)
	return r
}

// median sorts its argument.
func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return (v[n/2-1] + v[n/2]) / 2
}

func (r Region) holds(p LatLon) bool {
	return r.Places < 3 || r.distance(p) <= r.Limit
}

// farFrom is how many times as far as the limit a place is that is far from a region, as
// one is that a slip moved.
const farFrom = 3

// Far reports whether a place is far from the region, and not only outside it.
func (r Region) Far(p LatLon) bool { return r.distance(p) > farFrom*r.Limit }

func (r Region) distance(p LatLon) float64 {
	return Distance(r.Centre.Latitude, r.Centre.Longitude, p.Latitude, p.Longitude)
}
