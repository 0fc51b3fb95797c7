package normalise

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// What people and programs write for nothing is nothing in every column, and stays.
func TestNothingInPlaces(t *testing.T) {
	for _, mark := range []string{"NA", "n/a", "nan", "NULL", `\N`, "-", "--", "?", "-999", "not recorded", "unknown"} {
		for _, c := range []struct {
			row  string
			want []string
		}{
			{"1|" + mark + "|" + mark + "|210", nil},
			{"1|" + mark + "|7.01|210", []string{"coordinates-half"}},
			{"1|46.02|7.01|" + mark, nil},
			{"1|" + mark + "|7.01|210" + strings.Repeat("\n2|46.02|7.01|220", 20), []string{"coordinates-half"}},
		} {
			captures, fs := Table(sheet("No=recordNumber|Lat=decimalLatitude|Lon=decimalLongitude|Elevation (m)=minimumElevationInMeters", strings.Split(c.row, "\n")...), context(t))
			var rules []string
			for _, f := range fs {
				if f.Level > record.Note && f.Rule != "date-missing" {
					rules = append(rules, f.Rule)
				}
			}
			if !slices.Equal(rules, c.want) {
				t.Errorf("%s: %v, want %v", c.row, rules, c.want)
			}
			if all := fmt.Sprint(captures[0].Extras); strings.ContainsFunc(mark, func(r rune) bool { return r >= 'a' }) && !strings.Contains(all, mark) {
				t.Errorf("%s: the text is lost: %s", c.row, all)
			}
		}
	}
}
