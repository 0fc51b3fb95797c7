package mapping

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record"
)

// TestUnitsAbove has lines above tables, as people write them: common practice.
func TestUnitsAbove(t *testing.T) {
	know := draftKnowledge()
	for _, c := range []struct {
		name, text string
		ofAll, of  map[string]string
	}{
		{"", "All lengths in inches, weights in oz", map[string]string{"length": "[in_i]", "mass": "[oz_av]"}, nil},
		{"Units", "SVL mm, mass g", map[string]string{"mass": "g"}, map[string]string{"snoutVentLength": "mm"}},
		{"Lengths", "cm", map[string]string{"length": "cm"}, nil},
		{"", "All measurements in mm.", map[string]string{"length": "mm"}, nil},
		{"", "Table S3. Measurements (in mm) of the type series", map[string]string{"length": "mm"}, nil},
		{"", "External measurements (mm) and body mass (g) of bats from Kenya", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "# Lengths in mm; mass in g", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "Lengths in mm; lengths in cm", map[string]string{"length": ""}, nil},
		{"", "Frogs weighed in g, measured in mm", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "Kleinsäugerfang Herbst 2016; Maße in mm, Gewicht in g", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "medidas en mm y pesos en g", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "Wing, bill and tarsus in mm, mass in g", map[string]string{"mass": "g"},
			map[string]string{"wingLength": "mm", "culmenLength": "mm", "tarsusLength": "mm", "tarsometatarsusLength": "mm"}},
		{"", "Skinks, Boulder Ridge. mm, g", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "mm / g / °C; yellow = photographed", map[string]string{"length": "mm", "mass": "g", "temperature": "Cel"}, nil},
		{"Box turtles", "shell in mm, mass in g", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "masses g, HF mm", map[string]string{"mass": "g"}, map[string]string{"hindfootLength": "mm"}},
		{"", "wing, weather and mass in g", map[string]string{"mass": "g"}, nil},
		{"", "Turtle day - July 9, 2022 (lengths in inches, weights in oz unless noted)", map[string]string{"length": "[in_i]", "mass": "[oz_av]"}, nil},
		{"", "Masse in g, Längen in mm (falls nicht anders vermerkt)", map[string]string{"length": "mm", "mass": "g"}, nil},
		{"", "Lengths in inches (calipers were the old ones until 7/1; new ones in mm)", map[string]string{"length": ""}, nil},
		{"", "Lengths in mm, plots of 10 m, nests up to a height in m", map[string]string{"length": "mm"}, nil},
		{"", "temperature measured in °C", nil, nil},
		{"", "Traps 10 m apart", nil, nil},
		{"", "Marsh survey in May", nil, nil},
		{"Site", "Pond in Ayr", nil, nil},
	} {
		got := know.unitsAbove(&record.Table{Labels: []record.Label{{Name: c.name, Cell: record.Cell{Text: c.text}}}})
		if d := cmp.Diff(c.ofAll, got.ofAll); d != "" && len(c.ofAll)+len(got.ofAll) > 0 {
			t.Errorf("%s %q: %s", c.name, c.text, d)
		}
		if d := cmp.Diff(c.of, got.of); d != "" && len(c.of)+len(got.of) > 0 {
			t.Errorf("%s %q: %s", c.name, c.text, d)
		}
	}
}

// TestUnitAboveAColumn has a heading that is a word of another kind of sheet too.
func TestUnitAboveAColumn(t *testing.T) {
	table := tableOf("voles.csv", []string{"TOT", "MASS"}, rising("%.0f", 100, 1), rising("%.1f", 10, 0.3))
	table.Labels = []record.Label{{Cell: record.Cell{Text: "Lengths in mm; mass in g"}}}
	guesses := Guess([]record.Table{table}, repeatableTerms)
	for i, want := range []string{"mm", "g"} {
		if m := guesses[i].Meaning; m.Unit != want || m.Guessed {
			t.Errorf("%s: %q, guessed %v; want %q as written above", guesses[i].Heading, m.Unit, m.Guessed, want)
		}
	}
}

// TestUnitsOfTabs has one form on two tabs, each with its units in a line above.
func TestUnitsOfTabs(t *testing.T) {
	tables := []record.Table{
		tableOf("2003", []string{"Tag", "Carapace L", "Weight"}, rising("A%.0f", 1, 1), rising("%.1f", 110, 1.3), rising("%.0f", 300, 9)),
		tableOf("2004", []string{"Tag", "Carapace L", "Weight"}, rising("B%.0f", 1, 1), rising("%.2f", 4.3, 0.05), rising("%.1f", 10, 0.3)),
	}
	tables[0].Labels = []record.Label{{Cell: record.Cell{Text: "All lengths in mm, weights in g", Row: 1, Column: 1}}}
	tables[1].Labels = []record.Label{{Cell: record.Cell{Text: "All lengths in inches, weights in oz", Row: 1, Column: 1}}}
	d := Propose("turtles", tables, repeatableTerms)
	for i, want := range [][]string{{"mm", "g"}, {"[in_i]", "[oz_av]"}} {
		if _, err := Apply(d.mapping(), &tables[i], Known{HeadingParts: quantity.HeadingUnit, UnitOf: func(string) string { return "mm" }}); err != nil {
			t.Fatal(err)
		}
		for k, unit := range want {
			if m := tables[i].Columns[k+1].Meaning; m.Unit != unit || m.Guessed {
				t.Errorf("%s, %s: %q, guessed %v; want %q as written above", tables[i].File, tables[i].Columns[k+1].Heading, m.Unit, m.Guessed, unit)
			}
		}
	}
}

// TestSumIsNoLength has counts of species and their total.
func TestSumIsNoLength(t *testing.T) {
	a, b := cycle("3", "0", "7"), cycle("12", "4", "9", "31")
	total := func(r int) string {
		return []string{"15", "4", "16", "34", "12", "11", "12", "31", "19", "7", "9", "38"}[r%12]
	}
	got := Guess([]record.Table{tableOf("counts.csv", []string{"Site", "Rana temporaria", "Bufo bufo", "Total"}, cycle("Mill", "Quarry"), a, b, total)}, repeatableTerms)
	for _, g := range got[1:] {
		if g.Meaning.Role != record.Unmatched {
			t.Errorf("%q is taken for %s: %s", g.Heading, said(g.Meaning), g.Reason)
		}
	}
}
