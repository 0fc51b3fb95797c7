package pipeline_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
)

const ownMeasureSurvey = `dataset: {id: "https://marrow-creek.invalid/own", title: Own, description: One measurement of our own., licence: "https://creativecommons.org/publicdomain/zero/1.0/legalcode", creators: [{family: Brook}]}
defaults: {basisOfRecord: HumanObservation}
measurements:
  - {name: dewlapLength, label: dewlap length, unit: mm, definition: "From the base of the dewlap to its tip, with the dewlap drawn out.", like: tailLength}
sheets:
  - file: anoles.csv
    mapping:
      key: [recordNumber]
      headings:
        - {heading: "No", term: recordNumber}
        - {heading: Species, term: scientificName}
        - {heading: Dewlap, measurement: MEASURE}
`

// A measurement of the team's own is read, screened, and published under its
// label with its unit, and the methods say what it is.
func TestOwnMeasurement(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	var rows strings.Builder
	rows.WriteString("No,Species,Dewlap\n")
	for i := range 40 {
		d := "1" + string(rune('0'+i%10)) + "." + string(rune('0'+i%7))
		if i == 17 {
			d = "141" // a decimal point that slipped
		}
		rows.WriteString(strings.Join([]string{"A" + string(rune('a'+i/26)) + string(rune('a'+i%26)), "Anolis sagrei", d}, ",") + "\n")
	}
	put(t, dir, "anoles.csv", rows.String())
	put(t, dir, "survey.yaml", strings.ReplaceAll(ownMeasureSurvey, "MEASURE", "dewlapLength"))
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Counts.Measurements != 40 {
		t.Errorf("%d measurements", r.Counts.Measurements)
	}
	for name, says := range map[string]string{
		"darwin-core/measurementorfact.csv": "dewlap length,", "darwin-core/eml.xml": "with the dewlap drawn out", "findings.csv": "141",
	} {
		b, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil || !strings.Contains(string(b), says) {
			t.Errorf("%s does not say %q: %v", name, says, err)
		}
	}
}

func TestOwnMeasurementMistakes(t *testing.T) {
	for _, c := range []struct{ old, new, says string }{
		{"MEASURE", "dewlapLenght", "under measurements in survey.yaml; did you mean"},
		{"name: dewlapLength", "name: tailLength", "is already a measurement"},
		{"like: tailLength", "like: tailLenth", `did you mean "tailLength"?`},
		{"unit: mm", "unit: furlongs", "not a unit code known here"},
		{"unit: mm", "unit: g, dimension: length", "the unit g is a unit of mass"},
	} {
		dir := t.TempDir()
		put(t, dir, "anoles.csv", "No,Species,Dewlap\n1,Anolis sagrei,12\n")
		text := strings.ReplaceAll(ownMeasureSurvey, c.old, c.new)
		put(t, dir, "survey.yaml", strings.ReplaceAll(text, "MEASURE", "dewlapLength"))
		_, err := pipeline.Run(context.Background(), dir, t.TempDir(), pipeline.Options{})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.new, err)
		}
	}
}
