package place

import (
	"cmp"
	"strings"
	"sync"

	"github.com/wroge/wgs84"
)

func (d *datum) isWGS84() bool        { return d.Code == GeodeticDatum }
func (d *datum) ellipsoid() ellipsoid { return ellipsoid{d.A, 1 / d.InvF} }

// covers reports whether the shift's area of use, a box, holds the place.
func (s *shift) covers(lat, lon float64) bool {
	if lat < s.South || lat > s.North {
		return false
	}
	if s.West <= s.East {
		return lon >= s.West && lon <= s.East
	}
	return lon >= s.West || lon <= s.East // across the antimeridian
}

// extent is the size of the area of use in square degrees.
func (s *shift) extent() float64 {
	w := s.East - s.West
	if w < 0 {
		w += 360
	}
	return w * (s.North - s.South)
}

// better orders shifts by stated accuracy, then by the smaller area of use,
// then by the later code, so that the choice is always the same.
func (s *shift) better(o *shift) bool {
	if s.Accuracy != o.Accuracy {
		return s.Accuracy < o.Accuracy
	}
	if s.extent() != o.extent() {
		return s.extent() < o.extent()
	}
	return len(s.Operation) > len(o.Operation) || len(s.Operation) == len(o.Operation) && s.Operation > o.Operation
}

// choose picks the shift for a place: of those whose area of use holds it, the
// one with the best stated accuracy. A country narrows the choice to the
// shifts for that country where there are any. It is nil outside every area.
func (d *datum) choose(lat, lon float64, country string) *shift {
	var best, national *shift
	for i := range d.shifts {
		s := &d.shifts[i]
		if !s.covers(lat, lon) {
			continue
		}
		if best == nil || s.better(best) {
			best = s
		}
		if country != "" && strings.Contains("|"+s.Countries+"|", "|"+strings.ToUpper(country)+"|") &&
			(national == nil || s.better(national)) {
			national = s
		}
	}
	return cmp.Or(national, best)
}

// apply moves a place on the datum to WGS 84. The height is taken as 0, which
// moves the result by millimetres.
func (d *datum) apply(s *shift, lat, lon float64) (lat84, lon84 float64) {
	if s.DX == 0 && s.DY == 0 && s.DZ == 0 && s.RX == 0 && s.RY == 0 && s.RZ == 0 && s.S == 0 {
		return lat, lon // the ellipsoids differ by 0.1 mm
	}
	from := wgs84.Helmert(d.A, d.InvF, s.DX, s.DY, s.DZ, s.RX, s.RY, s.RZ, s.S)
	lon84, lat84, _ = from.LonLat().To(wgs84.LonLat())(lon, lat, 0)
	return lat84, wrap(lon84)
}

// unstated is how far a place may be off when its datum is not known: the
// largest shift to WGS 84, at that place, of all the datums in use there. The
// figures come from the EPSG table.
// Where no datum of the table is in use, it is the largest shift in the table.
//
// The shifts are compared by about what they come to; only those that may be the
// largest are worked out.
func (t *datumTables) unstated(lat, lon float64) float64 {
	at := spotAt(lat, lon)
	var buf [64]candidate
	all, nearly, covered := buf[:0], 0.0, false
	for _, d := range t.all {
		known := false
		var x, y, z float64
		for i := range d.shifts {
			s := &d.shifts[i]
			if !s.covers(lat, lon) {
				continue
			}
			covered = covered || s.extent() < 5000 // a box around half an ocean tells nothing of the place
			if !known {
				x, y, z = at.geocentric(d.ellipsoid())
				known = true
			}
			off := at.nearly(s, x, y, z)
			all = append(all, candidate{d, s, off})
			nearly = max(nearly, off)
		}
	}
	if !covered {
		return worstShift()
	}
	var most float64
	for _, c := range all {
		if c.nearly >= nearly-2*nearlyOff {
			lat84, lon84 := c.datum.apply(c.shift, lat, lon)
			most = max(most, Distance(lat, lon, lat84, lon84))
		}
	}
	return most
}

// candidate is a shift that may be the largest at a place.
type candidate struct {
	datum  *datum
	shift  *shift
	nearly float64 // what it comes to, in metres, by less than nearlyOff
}

// worstShift is the largest shift of any datum at the middle of its area.
var worstShift = sync.OnceValue(func() float64 {
	var most float64
	for _, d := range datums().all {
		for i := range d.shifts {
			s := &d.shifts[i]
			lat, lon := (s.South+s.North)/2, wrap(s.West+widthEast(s.West, s.East)/2)
			lat84, lon84 := d.apply(s, lat, lon)
			most = max(most, Distance(lat, lon, lat84, lon84))
		}
	}
	return most
})

func widthEast(west, east float64) float64 {
	if east < west {
		return east - west + 360
	}
	return east - west
}
