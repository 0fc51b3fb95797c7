package normalise

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// Longitudes that a column counts up to 360 degrees are one doubt, with what each of its
// cells would be. A single one beyond 180 is a slip, and so is one among signed ones.
func TestLongitudesUpTo360(t *testing.T) {
	for _, c := range []struct {
		longitudes string
		want       []string // rule, cells, and what they would be
	}{
		{"235.8474 235.44 179.5 180.25 236 235,1", []string{"coordinates-full-circle frogs.csv, C2 4 -124.1526 | -124.56 | -179.75 | -124 | -124.9"}},
		{"235.8 235.4 124.1 124.2 124.3", []string{"coordinates-range frogs.csv, C2 0 ", "coordinates-range frogs.csv, C3 0 "}},
		{"235.8 235.4 235.5 235.6 235.7 -124.2", slices.Repeat([]string{"coordinates-range"}, 5)},
		{"235.8 235.4 235.5 235.6 235.7 124.2W", slices.Repeat([]string{"coordinates-range"}, 5)},
	} {
		var lines []string
		for i, longitude := range strings.Fields(c.longitudes) {
			lines = append(lines, fmt.Sprintf("%d|45.1|%s", i+1, longitude))
		}
		_, fs := Table(sheet("No=recordNumber|Lat=decimalLatitude|Long=decimalLongitude", lines...), context(t))
		var got []string
		for _, f := range fs {
			var texts []string
			for _, r := range f.Rewrites {
				texts = append(texts, r.Text)
			}
			if f.Level == record.Error {
				got = append(got, fmt.Sprintf("%s %s %d %s", f.Rule, f.At, len(f.Also), strings.Join(texts, " | ")))
			}
		}
		if !slices.EqualFunc(got, c.want, strings.HasPrefix) {
			t.Errorf("%s: %q, want %q", c.longitudes, got, c.want)
		}
	}
}
