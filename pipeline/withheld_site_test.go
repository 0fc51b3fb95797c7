package pipeline_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"spadefoot/pipeline"
)

// A position that a digit puts far from the others of its site is doubted, but not
// where some animals are sensitive: the doubt would tell where they were found.
func TestNoDoubtTellsWhereSensitiveAnimalsAre(t *testing.T) {
	rows := "No,Species,Site,Latitude,Longitude\n"
	for i := range 14 {
		rows += fmt.Sprintf("%d,Rana pretiosa,Alder Seep,45.31%02d,-121.62%02d\n", i+1, 20+i, 40+i)
	}
	rows += "15,Pseudacris regilla,Alder Seep,45.5127,-121.6244\n"
	for i := range 20 {
		rows += fmt.Sprintf("%d,Pseudacris regilla,Otter Pond,45.51%02d,-121.12%02d\n", i+16, 20+i, 40+i)
	}
	for _, sensitive := range []bool{false, true} {
		dir, out := t.TempDir(), t.TempDir()
		text := "dataset: {id: https://marrow-creek.invalid/sites, title: Sites, description: Frogs at two sites., licence: CC0 1.0, creators: [{family: Varga}]}\n"
		if sensitive {
			text += "tables: {checklist: checklist.csv, sensitive: sensitive.csv}\n"
			put(t, dir, "sensitive.csv", "taxon,grid,reason\nRana pretiosa,0.5,threatened\n")
		} else {
			text += "tables: {checklist: checklist.csv}\n"
		}
		put(t, dir, "survey.yaml", text+`defaults: {basisOfRecord: HumanObservation, geodeticDatum: EPSG:4326}
sheets:
  - file: frogs.csv
    mapping:
      key: [recordNumber]
      headings:
        - {heading: No, term: recordNumber}
        - {heading: Species, term: scientificName}
        - {heading: Site, term: locality}
        - {heading: Latitude, term: decimalLatitude}
        - {heading: Longitude, term: decimalLongitude}
`)
		put(t, dir, "checklist.csv", "scientificName\nRana pretiosa\nPseudacris regilla\n")
		put(t, dir, "frogs.csv", rows)
		r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		doubted := false
		for _, f := range r.Findings {
			doubted = doubted || f.Rule == "position-digits"
		}
		if doubted == sensitive {
			t.Errorf("sensitive %v: doubted %v", sensitive, doubted)
		}
		for name, b := range files(t, out) {
			if sensitive && strings.Contains(string(b), "45.31") {
				t.Errorf("%s tells the latitude of Alder Seep", name)
			}
		}
	}
}
