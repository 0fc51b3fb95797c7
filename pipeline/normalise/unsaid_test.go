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

func TestNoCountryIsUnknown(t *testing.T) {
	captures, _ := readSheet(sheet("No=recordNumber|Land=country|State=stateProvince", "1|unknown|not recorded", "2|Canada|Ontario"), context(t))
	if c := captures[0]; c.Get("country") != "" || c.Get("stateProvince") != "" || len(c.Extras) != 2 || c.Extras[0].Text != "unknown" || captures[1].Get("stateProvince") != "Ontario" {
		t.Errorf("%+v, %+v", captures[0], captures[1])
	}
}
