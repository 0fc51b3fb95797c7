package pipeline

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is published of a sheet's accuracy: masses of a declared scale, repeats
// of the sheet itself, what survey.yaml says, and nothing where nobody knows.
func TestAccuracyOfArchive(t *testing.T) {
	folder := t.TempDir()
	rows := "No,SVL 1,SVL 2,Tibia,Head,Gross,Tare,Weight\n"
	for i := range 12 {
		rows += fmt.Sprintf("%d,%d.1,%d.5,%d.3,%d.%d,29,4.5,2%d.5\n", i+1, 50+i, 50+i, 25+i, 18+i, i%10, i%10)
	}
	description := `
dataset: {id: "https://example.invalid/a", title: Frogs, description: Frogs, licence: "https://creativecommons.org/publicdomain/zero/1.0/legalcode", creators: [{family: Varga}]}
defaults: {basisOfRecord: HumanObservation, eventDate: 2024-05-01, scientificName: Lithobates clamitans}
instruments:
  - {name: caliper, unit: mm, graduation: 0.1}
  - {name: scale, unit: g, graduation: 0.5, calibration: 0.2}
repeatability: [{measurement: tibiaLength, standardDeviation: 0.05, unit: cm, source: ten frogs measured twice}, {measurement: headWidth, observer: Imre Varga, standardDeviation: 0.3, unit: mm}]
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  weighing: {way: same-row, unit: g, scale: scale}
  headings:
    - {heading: "No", term: recordNumber}
    - {pattern: 'SVL (?P<replicate>\d)', measurement: snoutVentLength, unit: mm, instrument: caliper}
    - {heading: Tibia, measurement: tibiaLength, unit: mm, instrument: caliper}
    - {heading: Head, measurement: headWidth, unit: mm, unitGuessed: true}
    - {heading: Gross, weighing: gross}
    - {heading: Tare, weighing: tare}
    - {heading: Weight, aside: not needed here}
`
	for name, text := range map[string]string{"survey.yaml": description, "frogs.csv": rows} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, o := range map[string]Options{"whole": {Version: "test"}, "parts": {Version: "test", wholeRows: 1, partRows: 5}} {
		t.Run(name, func(t *testing.T) {
			out := t.TempDir()
			if _, err := Run(context.Background(), folder, out, o); err != nil {
				t.Fatal(err)
			}
			checkAccuracies(t, out)
		})
	}
}

func checkAccuracies(t *testing.T, out string) {
	lines, err := csv.NewReader(bytes.NewReader(readFile(t, out, filepath.Join("darwin-core", "measurementorfact.csv")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, heading := range lines[0] {
			row[heading] = l[i]
		}
		if kind := row["measurementType"]; got[kind] == "" {
			got[kind] = row["measurementValue"] + " ±" + row["measurementAccuracy"] + ": " + row["measurementRemarks"]
		}
	}
	// By Python: 2*(2*0.5**2/12 + 2*0.1**2)**0.5 = 0.497; 2*(0.08 + 0.1**2/12)**0.5 = 0.569;
	// 2*(0.5**2 + 0.1**2/12)**0.5 = 1.002; 2*(0.5**2/12 + 0.1**2)**0.5 = 0.351
	for kind, want := range map[string]string{
		"body mass":         "24.5 ±0.5: graduation 0.5 g of scale; calibration ±0.2 g",
		"gross mass":        "29 ±0.35: graduation 0.5 g of scale; calibration ±0.2 g",
		"snout-vent length": "50.1 ±0.57: repeatability 0.28 mm, from 12 repeats beyond the first",
		"tibia length":      "25.3 ±1: repeatability 0.5 mm",
		"head width":        "18.0 ±: no unit was written, guessed: mm",
	} {
		if !strings.HasPrefix(got[kind], want) {
			t.Errorf("%s: %q, want %q", kind, got[kind], want)
		}
	}
	eml, err := os.ReadFile(filepath.Join(out, "darwin-core", "eml.xml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, says := range []string{"coverage factor k = 2", "tibia length: repeatability 0.5 mm (ten frogs measured twice)", "repeatability 0.3 mm in the hands of Imre Varga", "in mm (guessed)"} {
		if !strings.Contains(string(eml), says) {
			t.Errorf("the methods do not say %q", says)
		}
	}
}
