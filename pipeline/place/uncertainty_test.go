package place

import (
	"math"
	"testing"
)

// Lengths of a degree north and east on WGS 84 are those of PROJ 9.1.1 (pyproj
// 3.4.1, Geod.inv over a thousandth of a degree): 110 574.276 m and 111 319.491 m
// at the equator, 111 412.287 m and 55 800.002 m at 60 degrees.
func TestLastPlaceError(t *testing.T) {
	tests := []struct{ lat, step, share, want, tolerance float64 }{
		{0, 1, 1, math.Hypot(110_574.276, 111_319.491), 0.01},
		{0, 0.1, 1, 0.1 * math.Hypot(110_574.276, 111_319.491), 0.01},
		{0, 1.0 / 60, 1, math.Hypot(110_574.276, 111_319.491) / 60, 0.01},
		{0, 1, 0.5, math.Hypot(110_574.276, 111_319.491) / 2, 0.01},
		{60, 0.01, 0.5, 0.5 * 0.01 * math.Hypot(111_412.287, 55_800.002), 0.01},
	}
	for _, tt := range tests {
		if got := lastPlaceError(tt.lat, tt.step, tt.step, tt.share); math.Abs(got-tt.want) > tt.tolerance {
			t.Errorf("lastPlaceError(%v, %v, %v) = %.1f, want %.1f ± %g", tt.lat, tt.step, tt.share, got, tt.want, tt.tolerance)
		}
	}
}

func TestUncertaintyParts(t *testing.T) {
	base := Parse("45.1234", "-75.6789", wgs).Uncertainty
	if want := lastPlaceError(45.1234, 1e-4, 1e-4, 0.5); base != want {
		t.Errorf("decimal degrees on WGS 84: %g m, want %g m", base, want)
	}
	tests := []struct {
		name string
		o    Options
		more float64 // than base
	}{
		{"stated receiver error", Options{Datum: "WGS84", GPSError: 5}, 5},
		{"error that is not a number", Options{Datum: "WGS84", GPSError: math.NaN()}, 0},
		{"accuracy of the shift", Options{Datum: "NAD83"}, 4},
		{"digits cut off", Options{Datum: "WGS84", LastPlace: 1}, base},
	}
	for _, tt := range tests {
		if got := Parse("45.1234", "-75.6789", tt.o).Uncertainty; math.Abs(got-base-tt.more) > 1e-9 {
			t.Errorf("%s: %g m, want %g m", tt.name, got, base+tt.more)
		}
	}
	// NAD27 is the datum that differs most there; without a datum its shift counts
	nad27 := Parse("45.1234000", "-75.6789000", Options{Datum: "NAD27"})
	shift := Distance(nad27.Latitude, nad27.Longitude, 45.1234, -75.6789)
	unstated := Parse("45.1234", "-75.6789", Options{}).Uncertainty - base
	if unstated < shift || unstated > shift+20 {
		t.Errorf("unstated datum adds %g m; the shift from NAD27 is %g m", unstated, shift)
	}
	if far := Parse("0.0000", "-150.0000", Options{Datum: "none such"}); far.Uncertainty < 100 {
		t.Errorf("an unknown datum in mid-ocean: %g m", far.Uncertainty)
	}
}

func TestTexts(t *testing.T) {
	if p := Parse("45.1234567", "-75.6789123", wgs); p.UncertaintyText() != "1" || p.PrecisionText() != "0.0000001" {
		t.Errorf("uncertainty %s, precision %s", p.UncertaintyText(), p.PrecisionText())
	}
	if p := Parse("46.142857142857146", "0.10142857142857144", wgs); p.PrecisionText() != "0.0000000001" {
		t.Errorf("precision of printed numbers %s", p.PrecisionText())
	}
	if p := (Point{}); p.UncertaintyText() != "" || p.PrecisionText() != "" || p.Known() {
		t.Errorf("an empty point: %q, %q", p.UncertaintyText(), p.PrecisionText())
	}
}
