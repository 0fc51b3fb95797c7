package place_test

import (
	"testing"

	"spadefoot/pipeline/place"
)

// How people head columns of coordinates is common practice.
func TestHeadingCompass(t *testing.T) {
	for _, c := range []struct{ heading, compass, rest string }{
		{"Longitude (W)", "W", "Longitude"},
		{"Latitude", "", "Latitude"},
		{"Longitude", "", "Longitude"},
		{"Lat S", "S", "Lat"},
		{"LonW", "W", "lon"},
		{"Lat_N", "N", "Lat"},
		{"Coord. S", "S", "Coord"},
		{"Latitud norte", "N", "Latitud"},
		{"Longitud (O)", "W", "Longitud"},
		{"Länge O", "E", "Länge"},
		{"Long (O)", "O", "Long"},
		{"°W", "W", ""},
		{"Lat N/S", "", "Lat N/S"},
		{"Long. E or W", "", "Long. E or W"},
		{"SVL", "", "SVL"},
		{"", "", ""},
	} {
		if compass, rest := place.HeadingCompass(c.heading); compass != c.compass || rest != c.rest {
			t.Errorf("%q: %q, %q; want %q, %q", c.heading, compass, rest, c.compass, c.rest)
		}
	}
}

func TestHeadingZone(t *testing.T) {
	for _, c := range []struct{ heading, zone, rest string }{
		{"UTM (19H) E", "19H", "UTM E"},
		{"UTM 18T", "18T", "UTM"},
		{"Northing (UTM zone 33N)", "33N", "Northing (UTM"},
		{"UTM_33N_X", "33N", "UTM X"},
		{"Coord. UTM 19s, Este", "19s", "Coord. UTM Este"},
		{"UTM 33 E", "", "UTM 33 E"}, // the easting of a zone without a letter
		{"UTM33E", "", "UTM33E"},
		{"UTM 61N", "", "UTM 61N"},
		{"Trap 19H", "", "Trap 19H"},
	} {
		if zone, rest := place.HeadingZone(c.heading); zone != c.zone || rest != c.rest {
			t.Errorf("%q: %q, %q; want %q, %q", c.heading, zone, rest, c.zone, c.rest)
		}
	}
}

func TestHeadingAngle(t *testing.T) {
	for _, c := range []struct{ heading, axis, part string }{
		{"Lat deg", "N", "degrees"},
		{"Long_min", "E", "minutes"},
		{"Longitude (seconds)", "E", "seconds"},
		{"Latitud grados", "N", "degrees"},
		{"Latitude", "", ""},
		{"Time (min)", "", "minutes"},
	} {
		if axis, part := place.HeadingAngle(c.heading); axis != c.axis || part != c.part {
			t.Errorf("%q: %q, %q; want %q, %q", c.heading, axis, part, c.axis, c.part)
		}
	}
}

func TestHeadedCoordinates(t *testing.T) {
	for _, c := range []struct{ lat, lon, latCompass, lonCompass, want string }{
		{"38.1330", "85.1477", "N", "W", "38.1330 -85.1477"},
		{"22°15'30\"", "47°15'18\"", "S", "W", "-22.2583 -47.2550"},
		{"38.1330", "-85.1477", "N", "W", "38.1330 -85.1477"}, // the sign says the same
		{"38.1330", "-85.1477", "N", "E", "38.1330 -85.1477"}, // what is in the cell is nearer
		{"38.1330", "85.1477 E", "", "W", "38.1330 85.1477"},
		{"38.1330", "85.1477", "W", "N", "38.1330 85.1477"}, // letters of the other axis say nothing
	} {
		p := place.Parse(c.lat, c.lon, place.Options{LatCompass: c.latCompass, LonCompass: c.lonCompass})
		if got := p.LatText + " " + p.LonText; got != c.want {
			t.Errorf("%v: %s, want %s (%v)", c, got, c.want, p.Problems)
		}
	}
}
