package place

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"spadefoot/pipeline/record/need"
)

// dms writes an angle as degrees, minutes and seconds, or degrees and minutes,
// with a number of decimals.
func dms(v float64, plus, minus string, parts, decimals int) string {
	letter := plus
	if v < 0 {
		letter, v = minus, -v
	}
	unit := math.Pow(10, float64(decimals))
	if parts == 2 {
		m := math.Round(v * 60 * unit)
		return fmt.Sprintf("%d° %0*.*f' %s", int(m/unit)/60, decimals+3, decimals, math.Mod(m, 60*unit)/unit, letter)
	}
	s := math.Round(v * 3600 * unit)
	whole := int(s / unit)
	return fmt.Sprintf(`%d° %02d' %0*.*f" %s`, whole/3600, whole/60%60, decimals+3, decimals, math.Mod(s, 60*unit)/unit, letter)
}

// What is written can be had back from what is published, and the true place
// lies within the uncertainty of the published one.
func TestWrittenDegreesComeBack(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range need.Times(4_000, 20_000) {
		lat, lon := rnd.Float64()*178-89, rnd.Float64()*358-179
		parts, decimals := 2+rnd.IntN(2), rnd.IntN(4)
		y, x := dms(lat, "N", "S", parts, decimals), dms(lon, "E", "W", parts, decimals)
		for _, p := range []Point{Parse(y, x, wgs), ParsePair(y+" "+x, wgs), ParsePair(x+", "+y, wgs)} {
			if !p.Known() || len(p.Problems) > 0 {
				t.Fatalf("%s %s: %+v", y, x, p)
			}
			backLat, _ := strconv.ParseFloat(p.LatText, 64)
			backLon, _ := strconv.ParseFloat(p.LonText, 64)
			if dms(backLat, "N", "S", parts, decimals) != y && backLat != 0 || dms(backLon, "E", "W", parts, decimals) != x && backLon != 0 {
				t.Fatalf("%s %s is published as %s, %s: %s %s", y, x, p.LatText, p.LonText,
					dms(backLat, "N", "S", parts, decimals), dms(backLon, "E", "W", parts, decimals))
			}
			if d := Distance(lat, lon, backLat, backLon); d > p.Uncertainty*1.0001+1e-3 {
				t.Fatalf("%v, %v written %s %s, published %s, %s: %g m off, uncertainty %g m", lat, lon, y, x, p.LatText, p.LonText, d, p.Uncertainty)
			}
		}
	}
}

func TestDecimalDegreesComeBack(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	for range 5000 {
		n := rnd.IntN(8)
		y, x := decimal(rnd.Float64()*180-90, n), decimal(rnd.Float64()*360-180, n)
		p := Parse(y, x, wgs)
		if p.LatText != y || p.LonText != x {
			t.Fatalf("%s, %s is published as %s, %s (%v)", y, x, p.LatText, p.LonText, p.Problems)
		}
	}
}

func TestUTMComesBack(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	var w worst
	for range 5000 {
		lat, lon := rnd.Float64()*164-80, rnd.Float64()*360-180
		zone, band, e, n, err := UTM(lat, lon)
		if err != nil {
			t.Fatal(err)
		}
		p := ParseUTM(fmt.Sprintf("%.3f", e), fmt.Sprintf("%.3f", n), fmt.Sprintf("%d%c", zone, band), wgs)
		// the letters N and S alone may be a band or a hemisphere; both settle rightly
		if !p.Known() {
			t.Fatalf("%v, %v: %+v", lat, lon, p.Problems)
		}
		w.see(Distance(lat, lon, p.Latitude, p.Longitude), []float64{lat, lon})
	}
	w.below(t, "UTM written to the millimetre and read", 0.001)
}

func TestMGRSComesBack(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		lat, lon, digits := rnd.Float64()*164-80, rnd.Float64()*360-180, rnd.IntN(6)
		ref, err := MGRS(lat, lon, digits)
		if err != nil {
			t.Fatal(err)
		}
		sq, err := readSquare(ref, "")
		if err != nil {
			t.Fatalf("%v, %v: %v", lat, lon, err)
		}
		// compare on the grid: the middle of a square at a zone's edge may lie in the next zone
		e, n := toGrid(wgs84Ellipsoid, sq.number, sq.band < 'N', lat, lon)
		if e < sq.easting-1e-6 || e > sq.easting+sq.size || n < sq.northing-1e-6 || n > sq.northing+sq.size {
			t.Fatalf("%v, %v is %s, which is read as %+v; the place is at %.3f %.3f", lat, lon, ref, sq, e, n)
		}
	}
}

func TestZoneExceptions(t *testing.T) {
	tests := []struct {
		lat, lon float64
		zone     int
		band     byte
	}{
		{60.4, 5.3, 32, 'V'}, {60.4, 2.9, 31, 'V'}, {55.9, 5.3, 31, 'U'},
		{78.2, 8.9, 31, 'X'}, {78.2, 9, 33, 'X'}, {78.2, 15.6, 33, 'X'}, {78.2, 21, 35, 'X'}, {78.2, 33, 37, 'X'}, {78.2, 41.9, 37, 'X'}, {78.2, 42, 38, 'X'},
		{0, 180, 1, 'N'}, {0, -180, 1, 'N'}, {0, 179.999, 60, 'N'}, {-0.1, 0, 31, 'M'}, {84, 0, 31, 'X'}, {-80, 0, 31, 'C'},
	}
	for _, tt := range tests {
		zone, band, _, _, err := UTM(tt.lat, tt.lon)
		if zone != tt.zone || band != tt.band || err != nil {
			t.Errorf("UTM(%v, %v) = %d%c, %v; want %d%c", tt.lat, tt.lon, zone, band, err, tt.zone, tt.band)
		}
	}
	for _, bad := range []LatLon{{84.1, 0}, {-80.1, 0}, {math.NaN(), 0}, {0, math.NaN()}, {0, math.Inf(1)}} {
		if _, _, _, _, err := UTM(bad.Latitude, bad.Longitude); err == nil {
			t.Errorf("UTM%v: no error", bad)
		}
	}
	if _, err := MGRS(0, 0, 6); err == nil {
		t.Error("six digits: no error")
	}
}

// Distances are symmetric and zero only for the same place.
func TestDistanceLaws(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for range 2000 {
		a, b, c, d := rnd.Float64()*180-90, rnd.Float64()*360-180, rnd.Float64()*180-90, rnd.Float64()*360-180
		if x, y := Distance(a, b, c, d), Distance(c, d, a, b); math.Abs(x-y) > 1e-3 || x <= 0 {
			t.Fatalf("%v, %v to %v, %v: %v and back %v", a, b, c, d, x, y)
		}
		if x := Distance(a, b, a, b+360); x > 1e-6 {
			t.Fatalf("a full turn is %v m", x)
		}
	}
}
