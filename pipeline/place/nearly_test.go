package place

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What a shift nearly comes to is within half of what unstated allows for, for
// every shift of the table, all over its area of use.
func TestNearly(t *testing.T) {
	tables := datums()
	r := rand.New(rand.NewPCG(1, 4))
	worst := 0.0
	for _, d := range tables.all {
		for i := range d.shifts {
			s := &d.shifts[i]
			for range 60 {
				lat := s.South + r.Float64()*(s.North-s.South)
				lon := wrap(s.West + r.Float64()*widthEast(s.West, s.East))
				at := spotAt(lat, lon)
				x, y, z := at.geocentric(d.ellipsoid())
				lat84, lon84 := d.apply(s, lat, lon)
				off := math.Abs(at.nearly(s, x, y, z) - Distance(lat, lon, lat84, lon84))
				if worst = max(worst, off); off > nearlyOff/2 {
					t.Fatalf("%s, %s at %.4f, %.4f: off by %.3f m", d.Name, s.Operation, lat, lon, off)
				}
			}
		}
	}
	t.Logf("off by %.3f m at most", worst)
}

// The largest shift is the one that is the largest when all are worked out.
func TestUnstated(t *testing.T) {
	tables := datums()
	r := rand.New(rand.NewPCG(2, 4))
	for range 3000 {
		lat, lon := r.Float64()*180-90, r.Float64()*360-180
		want, covered := 0.0, false
		for _, d := range tables.all {
			for i := range d.shifts {
				if s := &d.shifts[i]; s.covers(lat, lon) {
					covered = covered || s.extent() < 5000
					lat84, lon84 := d.apply(s, lat, lon)
					want = max(want, Distance(lat, lon, lat84, lon84))
				}
			}
		}
		if !covered {
			want = worstShift()
		}
		if got := tables.unstated(lat, lon); got != want {
			t.Fatalf("%.4f, %.4f: %v, want %v", lat, lon, got, want)
		}
	}
}
