package place

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestGeneralise(t *testing.T) {
	tests := []struct {
		lat, lon, grid float64
		wantLat        string
		wantLon        string
	}{
		{45.4012, -75.7011, 0.1, "45.45", "-75.75"},
		{45.4012, -75.7011, 0.01, "45.405", "-75.705"},
		{45.4012, -75.7011, 1, "45.5", "-75.5"},
		{45.4012, -75.7011, 0.25, "45.375", "-75.625"},
		{0.3, 0.3, 0.1, "0.35", "0.35"},
		{-0.05, -0.05, 0.1, "-0.05", "-0.05"},
		{0, 0, 0.1, "0.05", "0.05"},
		{90, 0, 0.1, "89.95", "0.05"},
		{-90, 0, 0.1, "-89.95", "0.05"},
		{10, 180, 0.1, "10.05", "-179.95"},
		{10, -180, 0.1, "10.05", "-179.95"},
		{10, 179.99, 0.1, "10.05", "179.95"},
		{10, 190, 0.1, "10.05", "-169.95"},
		{89, 179, 7, "87.0", "177.5"}, // 7 does not divide 90 and 180: the last cells are cut off
		{45, 10, 0, "", ""},
		{45, 10, -1, "", ""},
		{45, 10, math.NaN(), "", ""},
		{45, 10, 91, "", ""},
		{math.NaN(), 10, 0.1, "", ""},
		{45, math.Inf(1), 0.1, "", ""},
	}
	for _, tt := range tests {
		lat, lon, u := Generalise(tt.lat, tt.lon, tt.grid)
		if lat != tt.wantLat || lon != tt.wantLon || (lat == "") != (u == 0) {
			t.Errorf("Generalise(%v, %v, %v) = %s, %s, %g; want %s, %s", tt.lat, tt.lon, tt.grid, lat, lon, u, tt.wantLat, tt.wantLon)
		}
	}
}

// The true place lies within the uncertainty, the middle of a cell blurs to
// itself, and the answer does not tell where in the cell the place lies.
func TestGeneraliseCoversThePlace(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	grids := []float64{0.001, 0.01, 0.05, 0.1, 0.25, 0.5, 1, 5, 7, 45}
	for range 5000 {
		lat, lon, grid := rnd.Float64()*180-90, rnd.Float64()*360-180, grids[rnd.IntN(len(grids))]
		a, b, u := Generalise(lat, lon, grid)
		midLat, _ := strconv.ParseFloat(a, 64)
		midLon, _ := strconv.ParseFloat(b, 64)
		if d := Distance(lat, lon, midLat, midLon); d > u*(1+1e-9)+1e-6 {
			t.Fatalf("Generalise(%v, %v, %v) = %s, %s: the place is %g m off, the uncertainty %g m", lat, lon, grid, a, b, d, u)
		}
		if a2, b2, u2 := Generalise(midLat, midLon, grid); a2 != a || b2 != b || u2 != u {
			t.Fatalf("Generalise(%v, %v, %v) = %s, %s, %g, its middle gives %s, %s, %g", lat, lon, grid, a, b, u, a2, b2, u2)
		}
	}
}

func TestPointGeneralise(t *testing.T) {
	p := Parse("45.4012", "-75.7011", Options{Datum: "WGS84", GPSError: 100})
	g := p.Generalise(0.1)
	_, _, cell := Generalise(45.4012, -75.7011, 0.1)
	if g.Uncertainty != cell+p.Uncertainty || g.LatText != "45.45" || g.DataGeneralizations == "" {
		t.Errorf("%+v", g)
	}
	if g := (Point{}).Generalise(0.1); g != (Generalised{}) {
		t.Errorf("a point without coordinates: %+v", g)
	}
	if g := p.Generalise(0); g != (Generalised{}) {
		t.Errorf("a grid of 0: %+v", g)
	}
}
