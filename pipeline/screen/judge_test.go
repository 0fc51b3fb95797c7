package screen

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"spadefoot/pipeline/record"
)

// frog makes one capture of an invented leopard frog: SVL, tibia, femur, eye,
// ear drum by text, "" where not taken.
func frog(row int, svl, tibia, femur, eye, drum string) *record.Capture {
	c := &record.Capture{Key: "frog", File: "f.csv", Row: row, Session: "one"}
	c.Set(record.Value{Field: record.Of("scientificName"), Text: "Lithobates pipiens"})
	c.Set(record.Value{Field: record.Of("sex"), Text: "female"})
	c.Set(record.Value{Field: record.Of("lifeStage"), Text: "adult"})
	names := []string{"snoutVentLength", "tibiaLength", "femurLength", "eyeDiameter", "tympanumDiameter"}
	for i, text := range []string{svl, tibia, femur, eye, drum} {
		if text != "" {
			addReading(c, names[i], text, "mm", 10+i)
		}
	}
	return c
}

// background is the summary of a simulated survey.
var background = sync.OnceValue(func() *Summary { return Summarise(simulate(400, 77), Defaults()) })

func findings(t testing.TB, c *record.Capture, limits []Limit) []record.Finding {
	t.Helper()
	return Judge(c, background(), limits, Defaults())
}

func TestJudgeNamesTheCell(t *testing.T) {
	for _, c := range []struct {
		name       string
		capture    *record.Capture
		column     int // of the cell reported, 0 for none
		rule       string
		suggestion string
		reason     string
	}{
		{"nothing wrong", frog(2, "72.0", "38.1", "34.6", "7.6", "6.1"), 0, "", "", ""},
		{"tibia in cm", frog(2, "72.0", "3.81", "34.6", "7.6", "6.1"), 11, "", "38.1 mm", "one place too far left"},
		{"point lost", frog(2, "72.0", "381", "34.6", "7.6", "6.1"), 11, "", "38.1 mm", "decimal point was lost"},
		{"tibia in inches", frog(2, "72.0", "1.5", "34.6", "7.6", "6.1"), 11, "", "38.1 mm", "read in inches"},
		{"body length wrong, not the limbs", frog(2, "7.20", "38.1", "34.6", "7.6", "6.1"), 10, "", "72.0 mm", "one place too far left"},
		{"digits exchanged", frog(2, "72.0", "83.1", "34.6", "7.6", "6.1"), 11, "", "38.1 mm", "digits were swapped"},
		{"digit misread", frog(2, "72.0", "38.1", "84.6", "7.6", "6.1"), 12, "", "34.6 mm", "digit was misread"},
		{"a mark of the scale miscounted", frog(2, "72.0", "49.2", "34.6", "7.6", "6.1"), 11, "", "39.2 mm", "one digit is one off"},
		{"copied from beside", frog(2, "72.0", "72.0", "34.6", "7.6", "6.1"), 11, "", "", "The snout-vent length is the same"},
		{"columns", frog(2, "38.1", "72.0", "34.6", "7.6", "6.1"), 10, "columns-swapped", "72.0 mm", "Swapping"},
	} {
		t.Run(c.name, func(t *testing.T) {
			fs := findings(t, c.capture, nil)
			if c.column == 0 {
				if count(fs, record.Warning) > 0 {
					t.Errorf("got %+v", fs)
				}
				return
			}
			if len(fs) != 1 {
				t.Fatalf("%d findings, want one: %+v", len(fs), fs)
			}
			f := fs[0]
			if f.At.Column != c.column || f.Suggestion != c.suggestion || !strings.Contains(f.Reason, c.reason) || c.rule != "" && f.Rule != c.rule {
				t.Errorf("got %s %s %q: %s", f.Rule, f.At, f.Suggestion, f.Reason)
			}
			if f.Value != c.capture.Readings[c.column-10].Verbatim {
				t.Errorf("value %q", f.Value)
			}
		})
	}
}

func TestTwoSlipsInOneRowAreTwoFindings(t *testing.T) {
	fs := findings(t, frog(2, "72.0", "3.81", "346", "7.6", "6.1"), nil)
	if len(fs) != 2 || fs[0].Suggestion == "" || fs[1].Suggestion == "" || fs[0].At == fs[1].At {
		t.Errorf("got %+v", fs)
	}
}

func TestWeighingSlips(t *testing.T) {
	for _, c := range []struct {
		name, gross, tare string
		rule              string
		column            int
		suggestion        string
	}{
		{"gross point lost", "405", "2.5", "", grossColumn, "40.5 g"},
		{"tare point lost", "40.5", "25", "", tareColumn, "2.5 g"},
		{"exchanged", "2.5", "40.5", "gross-tare-swapped", grossColumn, "40.5 g"},
		{"fine", "40.5", "2.5", "", 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := frog(2, "72.0", "38.1", "34.6", "7.6", "6.1")
			setWeighing(f, c.gross, c.tare, 0.5)
			fs := findings(t, f, nil)
			if c.column == 0 {
				if count(fs, record.Warning) > 0 {
					t.Errorf("got %+v", fs)
				}
				return
			}
			if len(fs) != 1 || fs[0].At.Column != c.column || fs[0].Suggestion != c.suggestion || c.rule != "" && fs[0].Rule != c.rule {
				t.Errorf("got %+v", fs)
			}
		})
	}
}

func TestReplicatesThatDisagree(t *testing.T) {
	c := frog(2, "72.0", "38.1", "34.6", "7.6", "6.1")
	replicate(&c.Readings[1], 1)
	for i, text := range []string{"38.3", "3.82"} {
		replicate(addReading(c, "tibiaLength", text, "mm", 20+i), 2+i)
	}
	fs := findings(t, c, nil)
	if len(fs) != 1 || fs[0].Rule != "replicates-differ" || fs[0].At.Column != 21 || fs[0].Suggestion != "38.2 mm" || len(fs[0].Also) != 2 {
		t.Errorf("got %+v", fs)
	}
	two := frog(2, "72.0", "58.1", "34.6", "7.6", "6.1")
	replicate(addReading(two, "tibiaLength", "38.3", "mm", 20), 2)
	fs = findings(t, two, nil)
	if len(fs) != 1 || fs[0].At.Column != 11 || fs[0].Suggestion != "38.1 mm" {
		t.Errorf("the odd one of two: %+v", fs)
	}
}

func TestLimitsAreJudgedOncePerCell(t *testing.T) {
	low, high := 20.0, 60.0
	limits := []Limit{{ScientificName: "Lithobates pipiens", Measurement: "tibiaLength", Unit: "mm", Minimum: &low, Maximum: &high, Source: "station book"}}
	fs := findings(t, frog(2, "72.0", "381", "34.6", "7.6", "6.1"), limits)
	if len(fs) != 1 || !strings.Contains(fs[0].Reason, "outside the limits") || !strings.Contains(fs[0].Reason, "station book") {
		t.Errorf("got %+v", fs)
	}
	low, high = 2, 6
	limits[0].Unit = "cm"
	fs = findings(t, frog(2, "72.0", "381", "34.6", "7.6", "6.1"), limits)
	if len(fs) != 1 || !strings.Contains(fs[0].Reason, "20 to 60 mm") {
		t.Errorf("limits in cm: %+v", fs)
	}
	// A taxon of which the survey has too few: the limits are all there is.
	rare := frog(2, "72.0", "381", "34.6", "7.6", "6.1")
	rare.Set(record.Value{Field: record.Of("scientificName"), Text: "Rana rara"})
	limits[0].ScientificName = "Rana rara"
	fs = findings(t, rare, limits)
	if !slices.ContainsFunc(fs, func(f record.Finding) bool {
		return f.Suggestion == "38.1 mm" && strings.Contains(f.Reason, "outside the limits")
	}) {
		t.Errorf("got %+v", fs)
	}
}
