package place

import (
	"strings"
	"testing"
)

func TestParseElevation(t *testing.T) {
	tests := []struct {
		text, unit, low, high, rule string
	}{
		{"1,200 ft", "", "365.76", "365.76", ""},
		{"120-150 m", "", "120", "150", ""},
		{"210.33333333333334", "m", "210.3333333333", "210.3333333333", ""},
		{"120 – 150m", "", "120", "150", ""},
		{"120 m to 150 m", "", "120", "150", ""},
		{"1,200-1,300 ft", "", "365.76", "396.24", ""},
		{"1200'", "", "365.76", "365.76", ""},
		{"300 m a.s.l.", "", "300", "300", ""},
		{"300m asl", "", "300", "300", ""},
		{"300 m s.n.m.", "", "300", "300", ""},
		{"300 m ü. M.", "", "300", "300", ""},
		{"350 meters above sea level", "", "350", "350", ""},
		{"Elev. 450 m", "", "450", "450", ""},
		{"1 200 m", "", "1200", "1200", ""},
		{"1,5 m", "", "1.5", "1.5", ""},
		{"1200 ± 10 m", "", "1190", "1210", ""},
		{"-5 - -2 m", "", "-5", "-2", ""},
		{"0.5 km", "", "500", "500", ""},
		{"450", "m", "450", "450", ""},
		{"450", "ft", "137.16", "137.16", ""},
		{"450 m", "ft", "450", "450", ""},
		{"ca. 300 m", "", "300", "300", "elevation-about"},
		{"Minimum Elevation 100m", "", "100", "100", "elevation-one-sided"},
		{"150-120 m", "", "120", "150", "elevation-reversed"},
		{"<100 m", "", "", "", "elevation-one-sided"},
		{"up to 100 m", "", "", "", "elevation-one-sided"},
		{"1.200 m", "", "", "", "elevation-unread"},
		{"1000", "", "", "", "elevation-unread"},
		{"1000 furlongs", "", "", "", "elevation-unread"},
		{"two thousand", "", "", "", "elevation-unread"},
		{"9000 m", "", "", "", "elevation-range"},
		{"", "m", "", "", ""},
	}
	for _, tt := range tests {
		low, high, problems := ParseElevation(tt.text, tt.unit, 0)
		var rules []string
		for _, p := range problems {
			rules = append(rules, p.Rule)
		}
		if low != tt.low || high != tt.high || strings.Join(rules, " ") != tt.rule {
			t.Errorf("ParseElevation(%q, %q) = %q, %q, %v; want %q, %q, %s", tt.text, tt.unit, low, high, problems, tt.low, tt.high, tt.rule)
		}
	}
}

// A column may show what parts its decimals.
func TestParseElevationByItsColumn(t *testing.T) {
	for decimal, want := range map[byte]string{0: "", '.': "1.2", ',': "1200"} {
		if low, _, problems := ParseElevation("1.200 m", "", decimal); low != want {
			t.Errorf("%q: got %q, %v, want %q", decimal, low, problems, want)
		}
	}
}

func TestParseDepth(t *testing.T) {
	tests := []struct{ text, low, high, rule string }{
		{"0.2-0.5 m", "0.2", "0.5", ""},
		{"10-15 ftm", "18.288", "27.432", ""},
		{"30 cm", "0.3", "0.3", ""},
		{"Max depth 100m", "", "", "depth-one-sided"},
		{"-5 m", "", "", "depth-range"},
		{"10-15", "", "", "depth-unread"},
	}
	for _, tt := range tests {
		low, high, problems := ParseDepth(tt.text, "", 0)
		rule := ""
		if len(problems) > 0 {
			rule = problems[0].Rule
		}
		if low != tt.low || high != tt.high || rule != tt.rule {
			t.Errorf("ParseDepth(%q) = %q, %q, %v", tt.text, low, high, problems)
		}
	}
}
