package mapping

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

func lengths(heading string, texts ...string) record.Table {
	t := record.Table{File: "f.csv", Columns: []record.Column{{Heading: "No", Number: 1}, {Heading: heading, Number: 2}}, HeadingRows: []int{1}}
	for i, text := range texts {
		t.Rows = append(t.Rows, record.TableRow{Number: i + 2, Cells: []record.Cell{
			{Text: strconv.Itoa(i + 1), Kind: record.Text, Row: i + 2, Column: 1}, {Text: text, Kind: record.Text, Row: i + 2, Column: 2}}})
	}
	return t
}

// The unit in one cell speaks for that cell only: it neither becomes that of the
// column nor lets the numbers beside it look like those of another unit.
func TestAUnitBesideOneNumber(t *testing.T) {
	for _, c := range []struct {
		heading string
		texts   []string
		want    string
	}{
		{"SVL", []string{"65", "3.2 cm"}, "snoutVentLength mm"},
		{"SVL", []string{"65", "3.2 cm", "62"}, "snoutVentLength mm"},
		{"SVL", []string{"3.2 cm", "65", "62", "58"}, "snoutVentLength mm"},
		{"Total length", []string{"65", "3.2 cm", "62"}, "totalLength mm"},
		{"SVL", []string{"6.5", "6.2", "32 mm", "5.8"}, "snoutVentLength cm"},
		{"SVL (mm)", []string{"65", "3.2 cm", "62"}, "snoutVentLength mm"},
		{"SVL", []string{"6.5 cm", "6.2 cm", "58"}, "snoutVentLength cm"}, // most cells say so
		{"SVL", []string{"6.5 cm", "6.2 cm"}, "snoutVentLength cm"},
	} {
		guesses := Guess([]record.Table{lengths(c.heading, c.texts...)}, repeatableTerms)
		if got := said(guesses[1].Meaning); got != c.want {
			t.Errorf("%s %q: %s, want %s: %s", c.heading, c.texts, got, c.want, guesses[1].Reason)
		}
	}
}

// Numbers that do not show their decimal mark have that of the other columns.
func TestDecimalMarkOfTheOtherColumns(t *testing.T) {
	table := tableOf("eggs.csv", []string{"egg_no", "egg_length_mm", "egg_mass_g"}, rising("%.0f", 1, 1), cycle("18,08", "16,98", "17,26"), cycle("1,810", "1,503", "1,439"))
	guesses := Guess([]record.Table{table}, repeatableTerms)
	if got := said(guesses[2].Meaning); got != "eggMass g" {
		t.Errorf("taken for %q: %s", got, guesses[2].Reason)
	}
}

func TestNumbersAreInTheUnitOfTheColumn(t *testing.T) {
	for _, c := range []struct {
		unit  string
		texts []string
		want  []float64
	}{
		{"", []string{"65", "3.2 cm", "62"}, []float64{62, 65}},
		{"mm", []string{"65", "3.2 cm", "62", "9 g"}, []float64{32, 62, 65}},
		{"", []string{"6.5 cm", "6.2 cm", "32 mm"}, []float64{3.2, 6.2, 6.5}},
		{"", []string{"6.5 cm", "62 mm"}, []float64{6.5, 62}}, // each says its own, and nothing is left to tell
	} {
		var cells []record.Cell
		for _, text := range c.texts {
			cells = append(cells, record.Cell{Text: text, Kind: record.Text})
		}
		p := profiled(cells, before{unit: c.unit})
		if !slices.EqualFunc(p.values, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) || p.numeric != 1 {
			t.Errorf("%s %q: %v, %v numeric; want %v", c.unit, c.texts, p.values, p.numeric, c.want)
		}
	}
}

// What a length and a mass without units are in is told by how much animals of a
// length weigh, and by nothing where that leaves several answers.
func TestUnitsOfLengthAndMass(t *testing.T) {
	column := func(from, step float64) func(int) string {
		return func(r int) string { return strconv.FormatFloat(from+step*float64(r%7), 'f', 1, 64) }
	}
	for _, c := range []struct {
		name                   string
		length, mass           string // headings
		l, m                   float64
		wantLength, wantWeight string
	}{
		{"frogs in mm and g", "Length", "Weight", 52, 14, "length mm", "net g"},
		{"fish in cm and g", "Length", "Weight", 25, 180, "length cm", "net g"},
		{"inches and pounds, or a snake in cm and g", "Length", "Weight", 58, 187, "", ""},
		{"a written length settles the mass", "Length (cm)", "Weight", 58, 187, "length cm", "net g"},
		{"a written mass settles the length", "Length", "Weight (g)", 25, 180, "length cm", "net g"},
	} {
		guesses := Guess([]record.Table{tableOf("sheet.csv", []string{c.length, c.mass}, column(c.l, 0.1), column(c.m, 0.2))}, repeatableTerms)
		if l, m := said(guesses[0].Meaning), said(guesses[1].Meaning); l != c.wantLength || m != c.wantWeight {
			t.Errorf("%s: %q and %q, want %q and %q: %s %s", c.name, l, m, c.wantLength, c.wantWeight, guesses[0].Reason, guesses[1].Reason)
		}
	}
}

// Lengths whose unit nobody wrote are not read as cm because the young are small, nor
// in mm where that makes a head a hundredth of the animal.
func TestUnitsOfTheYoungAndBesideALength(t *testing.T) {
	around := func(x, step float64) func(int) string {
		return func(r int) string { return strconv.FormatFloat(x+step*float64(r%7), 'f', 1, 64) }
	}
	for _, c := range []struct {
		name, first, second string
		values              [2]func(int) string
		want                string // of the second
	}{
		{"wings of nestlings", "age_d", "Wing", [2]func(int) string{around(6, 1), around(12, 3)}, "wingLength mm"},
		{"heads of caimans", "SVL_cm", "HeadL", [2]func(int) string{around(48, 4), around(13, 1)}, ""},
		{"heads of lizards", "SVL_cm", "HeadL", [2]func(int) string{around(6, 0.5), around(13, 1)}, "headLength mm"},
	} {
		guesses := Guess([]record.Table{tableOf("sheet.csv", []string{c.first, c.second, "Sex"}, c.values[0], c.values[1], cycle("M", "F"))}, repeatableTerms)
		if got := said(guesses[1].Meaning); got != c.want {
			t.Errorf("%s: %q, want %q: %s", c.name, got, c.want, guesses[1].Reason)
		}
	}
}
