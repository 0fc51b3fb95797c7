package pipeline_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

const comparedSurvey = `dataset:
  id: https://marrow-creek.invalid/compared
  title: Compared with specimens
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
tables: {specimens: specimens.csv}
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: HW, measurement: headWidth, unit: mm}
    - {heading: Eye, measurement: eyeDiameter, unit: mm}
`

// A table of reference specimens lets a survey without verified captures be
// compared: a frog recorded under the wrong of two names is named with the
// other. Proportions are invented.
func TestReferenceSpecimensAreComparedWith(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	shape := map[string][3]float64{"Rana temporaria": {.50, .34, .10}, "Rana arvalis": {.44, .31, .11}}
	names := []string{"Rana temporaria", "Rana arvalis"}
	measure := func(name string) string {
		noise := func() float64 { return math.Exp(rng.NormFloat64() * .015) }
		svl, p := 62*math.Exp(rng.NormFloat64()*.08), shape[name]
		return fmt.Sprintf("%.1f,%.1f,%.1f,%.1f", svl, svl*p[0]*noise(), svl*p[1]*noise(), svl*p[2]*noise())
	}
	var specimens, frogs strings.Builder
	specimens.WriteString("specimen,scientificName,snoutVentLength,tibiaLength,headWidth,eyeDiameter\n")
	frogs.WriteString("No,Species,SVL,Tibia,HW,Eye\n")
	for i := range 60 {
		name := names[i%2]
		fmt.Fprintf(&specimens, "S%d,%s,%s\n", i, name, measure(name))
		shaped := name
		if i == 10 {
			shaped = names[1]
		}
		fmt.Fprintf(&frogs, "%d,%s,%s\n", i, name, measure(shaped))
	}
	dir := t.TempDir()
	put(t, dir, "survey.yaml", comparedSurvey)
	put(t, dir, "specimens.csv", specimens.String())
	put(t, dir, "frogs.csv", frogs.String())
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var other []record.Finding
	for _, f := range r.Findings {
		if f.Rule == "looks-like-other" {
			other = append(other, f)
		}
	}
	if len(other) != 1 || other[0].Capture != "10" || !strings.Contains(other[0].Reason, "Rana arvalis") || !strings.Contains(other[0].Reason, "alone") {
		t.Errorf("found %+v, want capture 10 named with Rana arvalis, and that measurements alone settle nothing", other)
	}
}
