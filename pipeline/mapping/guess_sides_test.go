package mapping

import (
	"fmt"
	"testing"

	"spadefoot/pipeline/record"
)

// TestGuessSides has parts that were measured on both sides, as people write
// them, and letters that are not sides: common practice.
func TestGuessSides(t *testing.T) {
	tibia, other := rising("%.1f", 24, 0.2), rising("%.1f", 24.1, 0.2)
	for _, c := range []struct {
		headings []string
		want     []string
		other    func(row int) string // of the second heading; nil for alike numbers
	}{
		{[]string{"Tibia L (mm)", "Tibia R (mm)"}, []string{"tibiaLength left mm", "tibiaLength right mm"}, nil},
		{[]string{"left femur (mm)", "right femur (mm)"}, []string{"femurLength left mm", "femurLength right mm"}, nil},
		{[]string{"tarsus_r", "tarsus_l"}, []string{"tarsometatarsusLength right mm", "tarsometatarsusLength left mm"}, nil},
		{[]string{"Tibia izquierda (mm)", "Tibia derecha (mm)"}, []string{"tibiaLength left mm", "tibiaLength right mm"}, nil},
		{[]string{"Tibia L (mm)", "Mass (g)"}, []string{"tibiaLength mm", "net g"}, nil},
		{[]string{"l_ear", "r_ear"}, []string{"", ""}, func(r int) string { return fmt.Sprint(1 + 37*r%97) }}, // numbers of tags
	} {
		second := other
		if c.other != nil {
			second = c.other
		}
		guesses := Guess([]record.Table{tableOf("toads.csv", append([]string{"SVL (mm)"}, c.headings...), rising("%.1f", 50, 0.5), tibia, second)}, repeatableTerms)
		for i, want := range c.want {
			g := guesses[i+1]
			got := said(g.Meaning)
			if g.Meaning.Side != "" {
				got = g.Meaning.Measurement + " " + g.Meaning.Side + " " + g.Meaning.Unit
			}
			if got != want && i < len(c.headings) {
				t.Errorf("%q is taken for %q, want %q: %s", g.Heading, got, want, g.Reason)
			}
		}
	}
}

// TestGuessObserversOfSome has columns of people under measurements, and one of a person
// who measured something by herself.
func TestGuessObserversOfSome(t *testing.T) {
	table := record.Table{File: "lab.csv", Index: 1}
	for i, parts := range [][]string{{"SVL", "Anna"}, {"SVL", "Ben"}, {"HW", "Anna"}, {"HW", "Ben"}, {"Tibia (mm)", "Ben"}} {
		table.Columns = append(table.Columns, record.Column{Heading: parts[0] + " " + parts[1], Parts: parts, Number: i + 1})
	}
	values := []func(int) string{rising("%.1f", 50, 0.5), rising("%.1f", 50.4, 0.5), rising("%.1f", 18, 0.2), rising("%.1f", 18.2, 0.2), rising("%.1f", 24, 0.2)}
	for r := range 20 {
		row := record.TableRow{Number: r + 3}
		for c, v := range values {
			row.Cells = append(row.Cells, record.Cell{Text: v(r), Kind: record.Text, Row: r + 3, Column: c + 1})
		}
		table.Rows = append(table.Rows, row)
	}
	guesses := Guess([]record.Table{table}, repeatableTerms)
	for i, want := range []string{"snoutVentLength Anna", "snoutVentLength Ben", "headWidth Anna", "headWidth Ben", "tibiaLength "} {
		if got := guesses[i].Meaning.Measurement + " " + guesses[i].Meaning.Observer; got != want {
			t.Errorf("%q is taken for %q, want %q: %s", guesses[i].Heading, got, want, guesses[i].Reason)
		}
	}
}
