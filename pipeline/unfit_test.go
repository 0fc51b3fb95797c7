package pipeline_test

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// A cell that its term cannot hold is an error at the cell, in check as in run;
// it alone is left out, and the rest is released, the data package too.
func TestOneBadCellBlocksNoRelease(t *testing.T) {
	terms := [][3]string{ // term, what is in the good rows, what in the bad one
		{"individualCount", "1", "-5"}, {"language", "en", "English"}, {"countryCode", "CA", "XX"},
		{"coordinateUncertaintyInMeters", "30", "-30"}, {"type", "PhysicalObject", "Frog"}, {"year", "2024", "20244"}, {"month", "5", "13"},
	}
	survey := strings.Replace(heron["survey.yaml"][:strings.Index(heron["survey.yaml"], "  headings:")], "tables: {sites: sites.csv, sensitive: sensitive.csv, checklist: checklist.csv}\n", "", 1)
	survey = strings.Replace(survey, "sheets: [{file: frogs.csv, layout: {headingRow: 5}}, {file: pond.csv}]", "sheets: [{file: frogs.csv}]", 1)
	survey += "  headings:\n    - {heading: No, term: recordNumber}\n    - {heading: Date, term: eventDate}\n    - {heading: Lat, term: decimalLatitude}\n    - {heading: Lon, term: decimalLongitude}\n    - {heading: Species, term: scientificName}\n"
	heading, good := "No,Date,Lat,Lon,Species", ",2024-05-02,45.4181,-76.1969,Lithobates clamitans"
	for _, term := range terms {
		survey += fmt.Sprintf("    - {heading: %s, term: %s}\n", term[0], term[0])
		heading += "," + term[0]
	}
	rows := func(bad int) string {
		text := heading + "\n"
		for n := range 9 {
			line := fmt.Sprint(n+1) + good
			for i, term := range terms {
				value := term[1]
				if n == 4 && i == bad {
					value = term[2]
				}
				line += "," + value
			}
			text += line + "\n"
		}
		return text
	}
	for bad, term := range terms {
		dir := t.TempDir()
		write(t, filepath.Join(dir, "survey.yaml"), survey)
		write(t, filepath.Join(dir, "frogs.csv"), rows(bad))
		checked, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if n := checked.Tally.Levels.AtLeast(record.Error); n != 1 || !findingAt(checked.Findings, "value-unfit", "frogs.csv", "", 6) {
			t.Errorf("%s: check has %d errors", term[0], n)
		}
		out := t.TempDir()
		ran, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
		if err != nil {
			t.Errorf("%s: %v", term[0], err)
			continue
		}
		if ran.Counts.LeftOut != 1 {
			t.Errorf("%s: %d values are left out", term[0], ran.Counts.LeftOut)
		}
		for _, o := range rowsOf(t, out) {
			want, kept := term[1], ""
			if o["recordNumber"] == "5" {
				want, kept = "", term[2]
			}
			if o[term[0]] != want && want == "" || !strings.Contains(o["dynamicProperties"], kept) || o["eventDate"] != "2024-05-02" || o["decimalLatitude"] != "45.4181" {
				t.Errorf("%s: %v", term[0], o)
			}
		}
	}
}

func rowsOf(t *testing.T, out string) []map[string]string {
	return rows(t, filepath.Join(out, "darwin-core", "occurrence.csv"))
}
