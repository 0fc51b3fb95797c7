package place

import (
	"slices"
	"strings"
	"testing"
)

// wgs is used where the datum is not what is tested.
var wgs = Options{Datum: "WGS84"}

func TestParsePair(t *testing.T) {
	with := func(change func(*Options)) Options { o := wgs; change(&o); return o }
	tests := []struct {
		text     string
		o        Options
		lat, lon string
		system   string
		rules    string // of the problems, in order, parted by a blank
	}{
		// degrees, minutes and seconds
		{`45°12'30"N 75 40.5 W`, wgs, "45.2083", "-75.675", MinutesSeconds, ""},
		{`45° 12' 30'' N  75° 40' 30'' W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45º12’30”N/75º40’30”W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45˚12′30″ N, 75˚40′30″ W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{"45Â°12'30\"N 75Â°40'30\"W", wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45o12'30" N 75o40'30" W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45d12m30sN 75d40m30sW`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45 deg 12 min 30 sec S, 75 deg 40 min 30 sec E`, wgs, "-45.2083", "75.6750", MinutesSeconds, ""},
		{`45d12m30s S 75d40m30s E`, wgs, "-45.2083", "75.6750", MinutesSeconds, ""},
		{`45-12-30N 75-40-30W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45:12:30N 75:40:30W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`N45°12.345' W075°40.123'`, wgs, "45.20575", "-75.66872", DecimalMinutes, ""},
		{`N 45 12.345 W 075 40.123`, wgs, "45.20575", "-75.66872", DecimalMinutes, ""},
		{`451230N 0754030W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`451230N0754030W`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`4512N 7540W`, wgs, "45.20", "-75.67", DecimalMinutes, ""},
		{`451230.5N 0754030.5W`, wgs, "45.20847", "-75.67514", MinutesSeconds, ""},
		{`45°12'30" -75°40'30"`, wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		{`45 12 30 75 40 30`, wgs, "45.2083", "75.6750", MinutesSeconds, "coordinates-hemisphere"},
		{`23 degrees 42.72 minutes south 140 degrees 30 minutes east`, wgs, "-23.7120", "140.50", DecimalMinutes, ""},
		{`0°0'30"S 0°0'30"W`, wgs, "-0.0083", "-0.0083", MinutesSeconds, ""},
		{"45°12'30\"N\n75°40'30\"W", wgs, "45.2083", "-75.6750", MinutesSeconds, ""},
		// decimal degrees
		{`45.1234, -75.6789`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45.1230 -75.6700`, wgs, "45.1230", "-75.6700", DecimalDegrees, ""},
		{`(45.1234; −75.6789)`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45,1234 -75,6789`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45,1234, -75,6789`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45,1234,-75,6789`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45.1234°N 75.6789°W`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`W 75.6789 N 45.1234`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`lat: 45.1234 long: -75.6789`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`Longitude -75.6789 Latitude 45.1234`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`-75.6789 W 45.1234 N`, wgs, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45.1234, 75.6789 W`, wgs, "45.1234", "-75.6789", DecimalDegrees, "coordinates-hemisphere"},
		{`45, -75`, wgs, "45", "-75", DecimalDegrees, ""},
		{`-0.00001 -0.2`, wgs, "-0.00001", "-0.2", DecimalDegrees, ""},
		{`45.123456789012 N 75.123456789012 E`, wgs, "45.123456789012", "75.123456789012", DecimalDegrees, "coordinates-digits"},
		// order
		{`-123.5, 45.1`, wgs, "45.1", "-123.5", DecimalDegrees, "coordinates-order"},
		{`-75.6, 45.1`, with(func(o *Options) { o.Order = "lonlat" }), "45.1", "-75.6", DecimalDegrees, ""},
		// the letter O, and other languages
		{`33°26′46″S 70°39′02″O`, wgs, "", "", "", "coordinates-hemisphere"},
		{`33°26′46″S 70°39′02″O`, with(func(o *Options) { o.LetterO = "W" }), "-33.4461", "-70.6506", MinutesSeconds, ""},
		{`48°12′N 16°22′O`, with(func(o *Options) { o.LetterO = "E" }), "48.20", "16.37", DecimalMinutes, ""},
		{`10°30' Sur 66°15' O`, wgs, "-10.50", "-66.25", DecimalMinutes, ""},
		{`48 Grad 12 Minuten N 16 Grad 22 Minuten O`, wgs, "48.20", "16.37", DecimalMinutes, ""},
		{`48° 12' Nord, 16° 22' östlich`, wgs, "48.20", "16.37", DecimalMinutes, ""},
		{`33°51' Zuid 151°12' O`, wgs, "-33.85", "151.20", DecimalMinutes, ""},
		{`59°20' N 18°03' Ö`, wgs, "59.33", "18.05", DecimalMinutes, ""},
		{`45.5 N -73.5 O`, wgs, "45.5", "-73.5", DecimalDegrees, ""},
		// datum and accuracy in the text
		{`45.1234, -75.6789 (WGS84)`, Options{}, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`WGS84 45.1234, -75.6789`, Options{}, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45.1234 N 75.6789 W WGS 84 ±5 m`, Options{}, "45.1234", "-75.6789", DecimalDegrees, ""},
		{`45.1234, -75.6789`, Options{}, "45.1234", "-75.6789", DecimalDegrees, "datum-unstated"},
		{`45.1234, -75.6789`, Options{Datum: "map of 1903"}, "45.1234", "-75.6789", DecimalDegrees, "datum-unknown"},
		{`45.1234, 10.6789`, Options{Datum: "NAD27"}, "45.1234", "10.6789", DecimalDegrees, "datum-area"},
		// UTM
		{`18T 445200 5027600`, wgs, "45.399772", "-75.70018", UTMSystem, ""},
		{`18N 445200E 5027600N`, wgs, "45.399772", "-75.70018", UTMSystem, ""},
		{`UTM 18T E445200 N5027600`, wgs, "45.399772", "-75.70018", UTMSystem, ""},
		{`zone 18N, 445,200 mE, 5,027,600 mN`, wgs, "45.399772", "-75.70018", UTMSystem, ""},
		{`5027600 N 445200 E 18T`, wgs, "45.399772", "-75.70018", UTMSystem, ""},
		{`E 445200 N 5027600 18T`, wgs, "45.399772", "-75.70018", UTMSystem, ""},
		{`0445200 / 5027600`, with(func(o *Options) { o.Zone = "18 north" }), "45.399772", "-75.70018", UTMSystem, ""},
		{`445200 5027600`, Options{Datum: "EPSG:32618"}, "45.399772", "-75.70018", UTMSystem, ""},
		{`17S 500000 4000000`, wgs, "36.144718", "-81.00000", UTMSystem, "coordinates-zone-letter"},
		{`54S 390210 7377243`, wgs, "-23.712004", "139.922996", UTMSystem, ""},
		{`445200 5027600`, wgs, "", "", "", "coordinates-without-zone"},
		{`18K 445200 5027600`, wgs, "", "", UTMSystem, "coordinates-zone"},
		{`61T 445200 5027600`, wgs, "", "", UTMSystem, "coordinates-zone"},
		{`18 E 445200 N 5027600`, wgs, "", "", UTMSystem, "coordinates-without-zone"},
		{`18 E 445200 N 5027600`, with(func(o *Options) { o.Zone = "18N" }), "45.399772", "-75.70018", UTMSystem, ""},
		{`18 E 445200 N 5027600`, with(func(o *Options) { o.Zone = "19N" }), "", "", UTMSystem, "coordinates-without-zone"},
		{`18T 5027600 445200`, wgs, "", "", UTMSystem, "coordinates-range"},
		// grid references
		{`18TVR4520027600`, wgs, "45.399777", "-75.70018", MGRSSystem, ""},
		{`18T VR 45200 27600`, wgs, "45.399777", "-75.70018", MGRSSystem, ""},
		{`MGRS: 18 t vr 452 276`, wgs, "45.4002", "-75.700", MGRSSystem, ""},
		{`VR 452 276`, with(func(o *Options) { o.Zone = "18T" }), "45.4002", "-75.700", MGRSSystem, ""},
		{`18TVR45202760`, wgs, "45.39982", "-75.7001", MGRSSystem, ""},
		{`18TVR452027600`, wgs, "", "", MGRSSystem, "coordinates-unread"},
		{`18TVR452002760`, wgs, "", "", MGRSSystem, "coordinates-unread"},
		{`18TAR4520027600`, wgs, "", "", MGRSSystem, "coordinates-unread"},
		{`18TVA4520027600`, wgs, "", "", MGRSSystem, "coordinates-unread"},
		{`18TVR4520027600`, Options{Datum: "NAD27"}, "", "", MGRSSystem, "coordinates-unread"},
		// refused
		{`54K 0390210 7377243`, Options{Datum: "EPSG:32754", System: "decimal degrees"}, "", "", "", "coordinates-system"},
		{`45,75`, wgs, "", "", "", "coordinates-ambiguous"},
		{`45 30`, wgs, "", "", "", "coordinates-ambiguous"},
		{`45 12 30,75 40 10`, wgs, "", "", "", "coordinates-ambiguous"},
		{`45.1234`, wgs, "", "", "", "coordinates-half"},
		{`139 degrees 55.38 minutes east`, wgs, "", "", "", "coordinates-half"},
		{`45.1N 75.2N`, wgs, "", "", "", "coordinates-hemisphere"},
		{`-45.1N 75.2W`, wgs, "", "", "", "coordinates-unread"},
		{`45°12'75"N 75°40'W`, wgs, "", "", "", "coordinates-range"},
		{`45°60'N 75°40'W`, wgs, "", "", "", "coordinates-range"},
		{`95.2 N 75.1 W`, wgs, "", "", "", "coordinates-range"},
		{`45.1 N 185.1 W`, wgs, "", "", "", "coordinates-range"},
		{`23 degrees south 185 degrees, x degrees east`, wgs, "", "", "", "coordinates-unread"},
		{`near the bridge`, wgs, "", "", "", "coordinates-unread"},
		{``, wgs, "", "", "", ""},
	}
	for _, tt := range tests {
		p := ParsePair(tt.text, tt.o)
		var rules []string
		for _, x := range p.Problems {
			rules = append(rules, x.Rule)
		}
		if p.LatText != tt.lat || p.LonText != tt.lon || strings.Join(rules, " ") != tt.rules || (tt.system != "" && p.System != tt.system) {
			t.Errorf("ParsePair(%q, %+v) = %q %q %q %v\nwant %q %q %q [%s]", tt.text, tt.o,
				p.LatText, p.LonText, p.System, p.Problems, tt.lat, tt.lon, tt.system, tt.rules)
		}
	}
}

// National grids of Britain and Ireland: letters of a square and figures of two equal
// parts, as the Ordnance Surveys describe them.
func TestNationalGrid(t *testing.T) {
	for text, grid := range map[string]bool{
		"SU 387 148": true, "SU387148": true, "SU 38750 14870": true, "NT2574": true, "R345912": true,
		"SU 387 14": false, "SU3871": true, "SU 387": false, "su 387 148": false, "SUX 387 148": false, "45.2083 -75.675": false,
	} {
		rules := ""
		for _, p := range ParsePair(text, wgs).Problems {
			rules = p.Rule
		}
		if (rules == ofGrid) != grid {
			t.Errorf("%q: %q", text, rules)
		}
	}
}

func TestParse(t *testing.T) {
	tests := []struct {
		lat, lon         string
		o                Options
		wantLat, wantLon string
		rules            string
	}{
		{"45 12 30 N", "75 40 30 W", wgs, "45.2083", "-75.6750", ""},
		{"45,1234", "-75,6789", wgs, "45.1234", "-75.6789", ""},
		{"N 45°12,345'", "W 75°40,123'", wgs, "45.20575", "-75.66872", ""},
		{"75 40 30 W", "45 12 30 N", wgs, "45.2083", "-75.6750", "coordinates-order"},
		{"45 12 30 N", "75 40 30", wgs, "45.2083", "75.6750", "coordinates-hemisphere"},
		{"45.1234, -75.6789", "", wgs, "45.1234", "-75.6789", ""},
		{"5027600", "445200", Options{Datum: "WGS84", Zone: "18T"}, "45.399772", "-75.70018", ""},
		{"5027600", "445200", Options{Datum: "EPSG:32618"}, "45.399772", "-75.70018", ""},
		{"5027600", "445200", wgs, "", "", "coordinates-without-zone"},
		{"5027600", "445200", Options{Zone: "18T", System: "decimal degrees"}, "", "", "coordinates-system"},
		{"45.1234", "", wgs, "", "", "coordinates-half"},
		{"", "-75.6789", wgs, "", "", "coordinates-half"},
		{"-123.4", "45.6", wgs, "", "", "coordinates-range"},
		{"45.1", "235.8", wgs, "", "", "coordinates-range"},
		{"45.1", "235.8", Options{FullCircle: true}, "", "", "coordinates-full-circle"},
		{"45.1", "435.8", Options{FullCircle: true}, "", "", "coordinates-range"},
		{"45.1", "235.8 W", Options{FullCircle: true}, "", "", "coordinates-range"},
		{"45.1", "135.8", Options{Datum: "WGS84", FullCircle: true}, "45.1", "135.8", ""},
		{"45.1", "x", wgs, "", "", "coordinates-unread"},
		{"?", "x", wgs, "", "", "coordinates-unread coordinates-unread"},
		{"451230", "754030", wgs, "", "", "coordinates-without-zone"},
		{"", "", wgs, "", "", ""},
		{"45.1", "-75.6789", Options{Datum: "WGS84", Stored: true}, "45.1000", "-75.6789", ""},
	}
	for _, tt := range tests {
		p := Parse(tt.lat, tt.lon, tt.o)
		var rules []string
		for _, x := range p.Problems {
			rules = append(rules, x.Rule)
		}
		if p.LatText != tt.wantLat || p.LonText != tt.wantLon || strings.Join(rules, " ") != tt.rules {
			t.Errorf("Parse(%q, %q) = %q %q %v\nwant %q %q [%s]", tt.lat, tt.lon, p.LatText, p.LonText, p.Problems, tt.wantLat, tt.wantLon, tt.rules)
		}
	}
}

func TestSwappedCellsAreNamed(t *testing.T) {
	p := Parse("-123.4", "45.6", wgs)
	if len(p.Problems) != 1 || p.Problems[0].Suggestion != "" || !strings.Contains(p.Problems[0].Reason, "may be in each other's cells") {
		t.Errorf("problems %+v", p.Problems)
	}
	p = Parse("451230", "-75.5", wgs)
	if len(p.Problems) != 1 || !strings.Contains(p.Problems[0].Reason, "45.1230") {
		t.Errorf("a lost decimal point is not named: %+v", p.Problems)
	}
}

func TestDatumNames(t *testing.T) {
	tables := datums()
	for name, code := range map[string]string{
		"WGS84": "EPSG:4326", "WGS_84": "EPSG:4326", "wgs-84": "EPSG:4326", "WGS:84": "EPSG:4326", "EPSG:4326": "EPSG:4326", "4326": "EPSG:4326",
		"NAD27": "EPSG:4267", "North American Datum 1927": "EPSG:4267", "NAD 83": "EPSG:4269", "epsg:4269": "EPSG:4269",
		"ED 50": "EPSG:4230", "European Datum 1950": "EPSG:4230", "OSGB36": "EPSG:4277", "OSGB 1936": "EPSG:4277",
		"ETRS89": "EPSG:4258", "EPSG:26718": "EPSG:4267", "EPSG:25832": "EPSG:4258", "SIRGAS 2000": "EPSG:4674",
	} {
		ref, ok := tables.resolve(name)
		if !ok || ref.datum.Code != code {
			t.Errorf("resolve(%q) = %+v, %v, want %s", name, ref.datum, ok, code)
		}
	}
	for _, name := range []string{"", "NAD", "EPSG:1", "EPSG:32661", "sphere", "EPSG:"} {
		if ref, ok := tables.resolve(name); ok {
			t.Errorf("resolve(%q) = %s, want nothing", name, ref.datum.Code)
		}
	}
}

// The country decides between national shifts.
func TestCountryNarrowsShift(t *testing.T) {
	a := Parse("45.9", "-78.3", Options{Datum: "NAD27", CountryCode: "CA"})
	b := Parse("45.9", "-78.3", Options{Datum: "NAD27", CountryCode: "US"})
	if !strings.Contains(a.Remark, "Canada") || !strings.Contains(b.Remark, "USA") {
		t.Errorf("remarks %q and %q", a.Remark, b.Remark)
	}
	if !slices.Equal(a.Problems, b.Problems) || len(a.Problems) > 0 {
		t.Errorf("problems %v, %v", a.Problems, b.Problems)
	}
}

func TestFromVerbatim(t *testing.T) {
	tests := []struct {
		lat, lon, both   string
		wantLat, wantLon string
		rule             string
	}{
		{"-23.712", "139.92", "", "-23.712", "139.92", ""},
		{"", "", "-23.712, 139.92", "-23.712", "139.92", ""},
		{"-23.712", "139.92", "23°42.7'S 139°55.2'E", "-23.712", "139.92", ""},
		{"-23.712", "", "23°42.7'S 139°55.2'E", "-23.712", "139.920", ""},
		{"-24.712", "139.92", "23°42.7'S 139°55.2'E", "", "", "coordinates-disagree"},
		{"-24.712", "", "23°42.7'S 139°55.2'E", "", "", "coordinates-disagree"},
		{"-23.712", "", "139°55.2'E", "", "", "coordinates-half"},
	}
	for _, tt := range tests {
		p := FromVerbatim(tt.lat, tt.lon, tt.both, wgs)
		rule := ""
		if len(p.Problems) > 0 {
			rule = p.Problems[0].Rule
		}
		if p.LatText != tt.wantLat || p.LonText != tt.wantLon || rule != tt.rule {
			t.Errorf("FromVerbatim(%q, %q, %q) = %q %q %v", tt.lat, tt.lon, tt.both, p.LatText, p.LonText, p.Problems)
		}
	}
}

func TestLetterO(t *testing.T) {
	for language, want := range map[string]string{"es": "W", "fr-CA": "W", "PT": "W", "de": "E", "nl": "E", "en": "", "": ""} {
		if got := LetterO(language); got != want {
			t.Errorf("LetterO(%q) = %q, want %q", language, got, want)
		}
	}
}

func TestIsZone(t *testing.T) {
	for text, want := range map[string]bool{"18T": true, "18": true, "zone 18 N": true, " UTM 5 south": true, "61": false, "0": false,
		"degrees minutes seconds": false, "UTM": false, "": false, "18.5": false} {
		if IsZone(text) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}

// A problem is one of the cell that it is about, and what is suggested fits there.
func TestProblemsOfTwoCells(t *testing.T) {
	for _, c := range []struct {
		lat, lon, rule string
		second         bool
		suggestion     string
	}{
		{`45°12'N`, `75°71'W`, "coordinates-range", true, ""}, {`45°72'N`, `75°11'W`, "coordinates-range", false, ""},
		{"45.2", "185.1", "coordinates-range", true, ""}, {"98.52", "47.61", "coordinates-range", false, ""},
		{`45°12'N`, "75 x", "coordinates-unread", true, ""}, {"45 x", `75°11'W`, "coordinates-unread", false, ""},
		{`45°12'N`, `75°11'`, "coordinates-hemisphere", true, ""}, {`45°12'`, `75°11'W`, "coordinates-hemisphere", false, ""},
		{`75°11'`, `45°12'N`, "coordinates-hemisphere", false, ""}, // in each other's cells
		{`45°12'N`, `75°11'O`, "coordinates-hemisphere", true, ""}, {"", `75°11'W`, "coordinates-half", false, ""},
	} {
		found := false
		for _, p := range Parse(c.lat, c.lon, Options{Datum: "WGS84"}).Problems {
			if p.Rule == c.rule {
				found = true
				if p.Second != c.second || p.Suggestion != c.suggestion {
					t.Errorf("%s, %s: %+v", c.lat, c.lon, p)
				}
			}
		}
		if !found {
			t.Errorf("%s, %s: no %s", c.lat, c.lon, c.rule)
		}
	}
}
