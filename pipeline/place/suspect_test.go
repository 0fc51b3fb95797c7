package place

import (
	"strings"
	"testing"
)

// Invented ponds around Marrow Creek.
var ponds = []LatLon{
	{45.4012, -75.7011}, {45.4120, -75.6890}, {45.3951, -75.7203}, {45.4207, -75.7110}, {45.3888, -75.6975},
}

func TestSuspects(t *testing.T) {
	near := Surroundings{Region: NewRegion(ponds, 0)}
	wide := Surroundings{Region: NewRegion([]LatLon{{44, -75.7}, {45, -75.7}, {45.4, -74}, {46, -75.7}, {45.4, -77.2}}, 0)}
	west := func(lat, lon float64) bool { return lat > 40 && lat < 50 && lon > -80 && lon < -70 }
	pond := NewRegion([]LatLon{{45.4120, -75.6890}, {45.4121, -75.6892}, {45.4119, -75.6891}}, 100)
	named := Surroundings{Region: near.Region, Site: &pond, Called: "Heron Slough"}
	both := func(lat, lon float64) bool { return west(lat, lon) || lat > 40 && lat < 50 && lon > 20 && lon < 30 }
	tests := []struct {
		name             string
		lat, lon         string
		s                Surroundings
		rule, suggestion string
	}{
		{"where it should be", "45.4100", "-75.7000", near, "", ""},
		{"axes swapped", "-75.7000", "45.4100", near, "position-swapped", "45.4100, -75.7000"},
		{"sign lost", "45.4100", "75.7000", near, "position-sign", "45.4100, -75.7000"},
		{"both signs wrong", "-45.4100", "75.7000", near, "position-sign", "45.4100, -75.7000"},
		{"a degree too many", "46.4100", "-75.7000", near, "position-degree", "45.4100, -75.7000"},
		{"a degree too few", "45.4100", "-74.7000", near, "position-degree", "45.4100, -75.7000"},
		{"digits changed over", "54.4100", "-75.7000", near, "position-digits", "45.4100, -75.7000"},
		{"digits over the point", "45.4100", "-77.5000", near, "position-digits", "45.4100, -75.7000"},
		{"swapped and a sign lost", "75.7000", "45.4100", near, "position-swapped", "45.4100, -75.7000"},
		{"elsewhere", "10.1234", "20.1234", near, "position-far", ""},
		{"a little beyond the others", "45.8700", "-75.7000", near, "", ""},
		{"beyond places that are a degree apart", "48.2000", "-75.7000", wide, "", ""},
		{"far from places that are a degree apart", "56.2000", "-75.7000", wide, "position-far", ""},
		{"no places to compare with", "10.1234", "20.1234", Surroundings{}, "", ""},
		{"two places only", "10.1234", "20.1234", Surroundings{Region: NewRegion(ponds[:2], 0)}, "", ""},
		{"outside the country", "10.1234", "20.1234", Surroundings{Inside: west}, "position-outside", ""},
		{"in the country by its sign", "45.4100", "75.7000", Surroundings{Inside: west}, "position-sign", "45.4100, -75.7000"},
		{"at its site", "45.4121", "-75.6890", named, "", ""},
		{"a digit changed at its site", "45.4720", "-75.6891", named, "position-digits", "45.4120, -75.6891"},
		{"digits swapped at its site", "45.4120", "-75.8690", named, "position-digits", "45.4120, -75.6890"},
		{"elsewhere in the region", "45.4350", "-75.7012", named, "", ""},
		{"a digit changed that leads out of the region", "85.4120", "-75.6891", named, "position-digits", "45.4120, -75.6891"},
		{"two slips fit", "45.4100", "72.5000", Surroundings{Inside: both}, "position-outside", ""},
	}
	for _, tt := range tests {
		got := Suspects(Parse(tt.lat, tt.lon, wgs), tt.s)
		rule, suggestion := "", ""
		if len(got) > 0 {
			rule, suggestion = got[0].Rule, got[0].Suggestion
		}
		if rule != tt.rule || suggestion != tt.suggestion || len(got) > 1 {
			t.Errorf("%s: %+v, want %s %q", tt.name, got, tt.rule, tt.suggestion)
		}
	}
}

func TestSuspectsNeighbouringZone(t *testing.T) {
	s := Surroundings{Region: NewRegion(ponds, 0)}
	got := Suspects(ParsePair("17T 445200 5027600", wgs), s)
	if len(got) != 1 || got[0].Rule != "position-zone" || got[0].Suggestion != "45.399772, -75.70018" {
		t.Errorf("%+v", got)
	}
}

// A point with no coordinates is not doubted again.
func TestSuspectsUnread(t *testing.T) {
	if got := Suspects(ParsePair("x", wgs), Surroundings{Region: NewRegion(ponds, 0)}); got != nil {
		t.Errorf("%+v", got)
	}
}

func TestRegion(t *testing.T) {
	// up to just under half the places may be wrong
	places := append([]LatLon{{-45, 75}, {0, 0}, {89, 10}, {45.4, 75.7}}, ponds...)
	r := NewRegion(places, 0)
	if d := Distance(r.Centre.Latitude, r.Centre.Longitude, 45.4, -75.7); d > 50_000 {
		t.Errorf("the middle is %g m from the ponds", d)
	}
	// across the antimeridian
	r = NewRegion([]LatLon{{-17, 179.9}, {-17, -179.9}, {-17.1, 179.95}}, 0)
	if d := Distance(r.Centre.Latitude, r.Centre.Longitude, -17, 180); d > 20_000 {
		t.Errorf("the middle is %g m off: %+v", d, r)
	}
	if r := NewRegion(nil, 0); r.Places != 0 || r.Limit != DefaultReach {
		t.Errorf("%+v", r)
	}
}

func TestSuspectReasonNamesFigures(t *testing.T) {
	got := Suspects(Parse("10.1234", "20.1234", wgs), Surroundings{Region: NewRegion(ponds, 0)})
	if len(got) != 1 || !strings.Contains(got[0].Reason, "survey's 5 places (limit 50 km)") {
		t.Errorf("%+v", got)
	}
}
