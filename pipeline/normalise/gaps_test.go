package normalise

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func TestCapturesWithoutDateOrPlace(t *testing.T) {
	var alternating []string
	for i := range 60 {
		day := ""
		if i%2 == 0 {
			day = fmt.Sprintf("2021-05-%02d", 1+i/2)
		}
		alternating = append(alternating, fmt.Sprintf("%d|%s|Alder Seep", i+1, day))
	}
	for _, c := range []struct {
		name, head string
		lines      []string
		defaults   []Default
		want       string
	}{
		{"all there", "No=recordNumber|Date=eventDate|Site=locality", []string{"1|2021-05-03|Alder Seep", "2|2021-05|Alder Seep"}, nil, ""},
		{"a run of rows", "No=recordNumber|Date=eventDate|Site=locality", []string{"1|2021-05-03|Alder Seep", "2||Alder Seep", "3||Alder Seep", "4|2021-05-04|Alder Seep", "5||Alder Seep"}, nil,
			"warning date-missing frogs.csv, B3:B4: the capture has no date, but others in the table have one; 2 captures\n" +
				"warning date-missing frogs.csv, B6: the capture has no date, but others in the table have one"},
		{"places of some", "No=recordNumber|Date=eventDate|Site=locality", []string{"1|2021-05-03|Alder Seep", "2|2021-05-03|", "3|2021-05-03|-"}, nil,
			"warning place-missing frogs.csv, C3:C4: the capture has no place, but others in the table have one; 2 captures"},
		{"no place anywhere", "No=recordNumber|Date=eventDate", []string{"1|2021-05-03", "2|2021-05-03"}, nil,
			"note place-missing frogs.csv, rows 2 to 3: the capture has no place; 2 captures"},
		{"counties will do", "No=recordNumber|Date=eventDate|County=county", []string{"1|2021-05-03|Renfrew", "2|2021-05-03|Renfrew"}, nil, ""},
		{"a country for all is not a place", "No=recordNumber|Date=eventDate", []string{"1|2021-05-03"}, []Default{{Term: "country", Text: "Canada", From: record.Address{File: "survey.yaml"}}},
			"note place-missing frogs.csv, row 2: the capture has no place"},
		{"a locality for all is", "No=recordNumber|Date=eventDate", []string{"1|2021-05-03"}, []Default{{Term: "locality", Text: "Alder Seep", From: record.Address{File: "survey.yaml"}}}, ""},
		{"what is not a date is another matter", "No=recordNumber|Date=eventDate|Site=locality", []string{"1|the day after|Alder Seep", "2|n/a|Alder Seep"}, nil,
			"warning date-missing frogs.csv, B3: the capture has no date, but others in the table have one"},
		{"a year will do", "No=recordNumber|Yr=year|Site=locality", []string{"1|2021|Alder Seep", "2||Alder Seep"}, nil,
			"warning date-missing frogs.csv, B3: the capture has no date, but others in the table have one"},
		{"rows of visits and of empty traps", "Date=eventDate|Site=locality|Species=scientificName|Sex=sex|Note=occurrenceRemarks", []string{"2021-05-03|Alder Seep|Rana temporaria|F|", "2021-05-03|Alder Seep||-|", "2021-05-03|Alder Seep|?||", "2021-05-03|Alder Seep|||got away", "2021-05-03|Alder Seep|none||", "2021-05-03|Alder Seep|||"}, nil,
			"warning animal-missing frogs.csv, row 3 and 1 runs more: nothing that was understood in the row is about an animal; 2 captures"},
		{"every other row is one finding", "No=recordNumber|Date=eventDate|Site=locality", alternating, nil,
			"warning date-missing frogs.csv, B3 and 29 runs more: the capture has no date, but others in the table have one; 30 captures"},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := context(t)
			x.Defaults = c.defaults
			_, fs := Table(sheet(c.head, c.lines...), x)
			var got []string
			for _, f := range fs {
				if f.Rule != "date-missing" && f.Rule != "place-missing" && f.Rule != "animal-missing" {
					continue
				}
				at := f.At.String()
				if len(f.Runs) > 0 {
					at = f.Runs[0].String()
				}
				if n := len(f.Runs); n > 1 {
					at += fmt.Sprintf(" and %d runs more", n-1)
				}
				got = append(got, fmt.Sprintf("%s %s %s: %s", f.Level, f.Rule, at, f.Reason))
			}
			if s := strings.Join(got, "\n"); s != c.want {
				t.Errorf("got\n%s\nwant\n%s", s, c.want)
			}
		})
	}
}

// A table with a column for one coordinate only says so once; where both
// columns stand, each cell that lacks the other is told.
func TestOneCoordinate(t *testing.T) {
	for heads, want := range map[string]map[string]int{
		"No=recordNumber|Lat=decimalLatitude":                           {"coordinates-one-column": 1},
		"No=recordNumber|Lat=decimalLatitude|Long=decimalLongitude":     {"coordinates-half": 2},
		"No=recordNumber|North=verbatimLatitude|East=verbatimLongitude": {"coordinates-half": 2},
	} {
		rows := []string{"1|44.5|", "2|44.7|"}
		if strings.Count(heads, "|") == 1 {
			rows = []string{"1|44.5", "2|44.7"}
		}
		captures, fs := readSheet(sheet(heads, rows...), context(t))
		got := map[string]int{}
		for _, f := range fs {
			if strings.HasPrefix(f.Rule, "coordinates-") {
				got[f.Rule]++
			}
		}
		if !maps.Equal(got, want) || captures[0].Get("decimalLatitude") != "" {
			t.Errorf("%s: %v, want %v; latitude %q", heads, got, want, captures[0].Get("decimalLatitude"))
		}
	}
}

// A table in metres without a zone says so once, whatever the metres are.
func TestMetresWithoutZone(t *testing.T) {
	captures, fs := readSheet(sheet("No=recordNumber|North=verbatimLatitude|East=verbatimLongitude", "1|4436389|450296", "2|4433971|450286", "3|4433828|453880"), context(t))
	var got []string
	for _, f := range fs {
		if f.Rule == "coordinates-without-zone" {
			got = append(got, fmt.Sprintf("%s at %s and %d more", f.Level, f.At, len(f.Also)))
		}
	}
	if want := []string{"warning at frogs.csv, B2 and 2 more"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if c := captures[0]; c.Get("decimalLatitude") != "" || c.Get("verbatimLatitude") != "4436389" {
		t.Errorf("latitude %q, as written %q", c.Get("decimalLatitude"), c.Get("verbatimLatitude"))
	}
}
