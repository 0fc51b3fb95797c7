package main

import (
	"fmt"
	"strings"
)

// find returns the n-th capture (from 0) of a species that satisfies ok.
func find(g *grid, name string, n int, ok func(a animal) bool) int {
	for i, a := range g.animals {
		if a.kind.name == name && (ok == nil || ok(a)) {
			if n == 0 {
				return i
			}
			n--
		}
	}
	panic(fmt.Sprintf("%s: no %s left", g.tab, name))
}

// screened lists the rules by which screening may name a single value.
const screened = "value-far|value-off-line|shape-unusual|weighing-slip"

const (
	green   = "Lithobates clamitans"
	leopard = "Lithobates pipiens"
	wood    = "Lithobates sylvaticus"
	toad    = "Anaxyrus americanus"
)

// different says that the first two digits of the body length differ enough
// for their exchange to be seen.
func different(a animal) bool {
	s := mm(a.svl)
	d := int(s[0]) - int(s[1])
	return d >= 3
}

func plantSpring(p *planting, g *grid) {
	swapped := func(a, b string) func(row []string, g *grid) {
		return func(row []string, g *grid) { row[g.column(b)] = a }
	}
	greenMale := find(g, green, 0, func(a animal) bool { return a.male })
	heavy := find(g, toad, 2, nil)
	ounces := find(g, toad, 5, nil)
	p.plant(g, []slip{
		{find(g, leopard, 0, nil), "SVL (mm)", "decimal slipped: ten times too large", screened, "{right}", times(10, 0), nil},
		{find(g, leopard, 1, nil), "Tibia (mm)", "decimal slipped: ten times too small", screened, "{right}", times(.1, 2), nil},
		{find(g, wood, 0, nil), "HW (mm)", "written in cm under a heading in mm", screened, "{right}", times(.1, 2), nil},
		{find(g, toad, 0, nil), "SVL (mm)", "written in inches under a heading in mm", screened, "62.0", times(1/25.4, 2), nil},
		{find(g, leopard, 2, different), "SVL (mm)", "first two digits exchanged", screened, "{right}", swapDigits, nil},
		{find(g, toad, 1, nil), "Gross (g)", "gross and bag exchanged", "gross-tare-swapped", "38", put(g.rows[find(g, toad, 1, nil)][g.column("Bag (g)")]),
			swapped(g.rows[find(g, toad, 1, nil)][g.column("Gross (g)")], "Bag (g)")},
		{greenMale, "Tibia (mm)", "tibia and head width exchanged", "columns-swapped", "", put(g.rows[greenMale][g.column("HW (mm)")]),
			swapped(g.rows[greenMale][g.column("Tibia (mm)")], "HW (mm)")},
		{ounces, "Gross (g)", "frog and bag and the empty bag read in ounces", screened, "", times(1/28.349523125, 2),
			swapped(times(1/28.349523125, 2)(g.rows[ounces][g.column("Bag (g)")]), "Bag (g)")},
		{find(g, green, 3, nil), "Bag (g)", "the empty bag was not weighed", "tare-missing", "", put(""), nil},
		{find(g, green, 4, nil), "Bag (g)", "another bag's mass", "tare-unlike-session", "", put("9.5"), nil},
		{heavy, "Gross (g)", "reading beyond the end of the scale", "reading-beyond-capacity", "", put("131.5"), nil},
		{find(g, wood, 1, nil), "Gross (g)", "reading between the marks of the scale", "reading-off-graduation", "", func(s string) string { return strings.TrimSuffix(strings.TrimSuffix(s, ".0"), ".5") + ".3" }, nil},
		{find(g, wood, 2, nil), "Date", "a day that the month has not", "date-impossible", "", put("31 April 2023"), nil},
		{find(g, wood, 3, nil), "Species", "name misspelled", "taxon-unmatched", "Lithobates sylvaticus", put("Lithobates sylvatica"), nil},
		{find(g, leopard, 6, nil), "Sex", "a word that nobody knows", "word-unknown", "", put("V"), nil},
		{find(g, leopard, 4, nil), "SVL (mm)", "a mass in the column of a length", "unit-dimension", "", put("34 g"), nil},
		{find(g, green, 5, nil), "Field No", "number of another capture", "key-repeated", "", put("MC23-001"), nil},
	})
}

func plantSummer(p *planting, g *grid) {
	p.plant(g, []slip{
		{find(g, green, 1, nil), "SVL cm", "written in mm under a heading in cm", screened, "", times(10, 1), nil},
		{find(g, toad, 0, nil), "Tib", "letter O for the digit 0", "letter-for-digit", "", func(s string) string { return s[:1] + "O" + s[2:] }, nil},
		{find(g, toad, 1, nil), "Frog+bag (g)", "the scale was not read", "number-unread", "", put("see book"), nil},
		{find(g, wood, 0, nil), "Eye", "workbook turned 5.12 into a date", "number-became-date", "", put("12-May"), nil},
		{find(g, wood, 1, nil), "Caught", "the year of another season", "date-outside-survey", "", put("14 Jul 2032"), nil},
		{find(g, green, 2, nil), "Frog+bag (g)", "bag entered instead of frog and bag", "weighing-slip", "", put("5.0"), nil},
		{find(g, leopard, 2, nil), "Tymp", "decimal slipped: ten times too large", screened, "{right}", times(10, 0), nil},
		{find(g, toad, 2, nil), "ID", "no number written", "key-missing", "", put(""), nil},
		{tern(g), "Place", "the name of a place misspelled", "site-unknown", "{right}", put("Turn Slough"), nil},
	})
}

func plantJune(p *planting, g *grid) {
	p.plant(g, []slip{
		{find(g, green, 0, nil), "LHC (mm)", "decimal slipped: ten times too small", screened, "{right}", times(.1, 2), nil},
		{find(g, toad, 0, nil), "Peso bruto (g)", "decimal slipped: ten times too large", screened, "", times(10, 0), nil},
		{find(g, wood, 0, nil), "Bolsa", "a bag that the table does not know", "bag-unknown", "", put("B9"), nil},
		{find(g, leopard, 0, nil), "Tibia", "two digits exchanged", screened, "{right}", swapDigits, nil},
		{find(g, green, 1, nil), "Sexo", "a word that nobody knows", "word-unknown", "", put("q"), nil},
		{find(g, leopard, 1, nil), "Especie", "a code that the checklist does not know", "taxon-unread", "", put("LIPP"), nil},
		{find(g, toad, 1, nil), "Ancho cabeza", "first digit misread", screened, "", func(s string) string { return "7" + s[1:] }, nil},
		{find(g, wood, 1, nil), "Ojo", "sentinel for a value that was not taken", "sentinel-missing", "", put("-999"), nil},
		{find(g, green, 2, nil), "LHC (mm)", "two values far apart", screened, "", put("112,4"), nil},
	})
}

// tern returns the third capture at Tern Slough.
func tern(g *grid) int {
	n := 0
	for i, row := range g.rows {
		if row[g.column("Place")] == "Tern Slough" {
			if n++; n == 3 {
				return i
			}
		}
	}
	panic("Tern Slough has too few captures")
}
