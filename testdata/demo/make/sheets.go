package main

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"spadefoot/testdata/written"
)

// grid is a sheet before it is written: a heading row and rows of texts.
type grid struct {
	file, tab string
	headings  []string
	rows      [][]string
	animals   []animal
}

// whole is the sheet as a tab of a workbook.
func (g *grid) whole() written.Tab {
	return written.Tab{Name: g.tab, Rows: append([][]string{g.headings}, g.rows...)}
}

// column returns the index of a heading, from 0.
func (g *grid) column(heading string) int {
	if i := slices.Index(g.headings, heading); i >= 0 {
		return i
	}
	panic("no heading " + heading)
}

var sites = []string{"Marrow Creek, lower beaver pond", "Tern Slough", "Alder Seep", "Old Ferry Ditch"}

func day(rng *rand.Rand, year int, from time.Month, days int) time.Time {
	return time.Date(year, from, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rng.IntN(days))
}

func mm(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }
func cm(x float64) string { return strconv.FormatFloat(x/10, 'f', 2, 64) }
func gr(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

var springNotes = []string{"", "", "", "", "calling", "under log", "", "in reeds", "", "released at once"}

// springSheet is Ines Varga's hand: gross and bag in each row, typed dates.
func springSheet(rng *rand.Rand) *grid {
	g := &grid{file: "marrow-2023.xlsx", tab: "Spring", headings: []string{
		"Field No", "Date", "Time", "Site", "Species", "Sex", "Stage", "SVL (mm)", "Tibia (mm)", "HW (mm)",
		"Eye (mm)", "Tymp (mm)", "Gross (g)", "Bag (g)", "Observer", "Notes", "Typed by"}}
	for i := range 80 {
		a := newAnimal(rng)
		d := day(rng, 2023, time.April, 55)
		bag := 4.5 + float64(rng.IntN(3))/2
		sex := map[bool]string{true: "M", false: "F"}[a.male]
		g.animals = append(g.animals, a)
		g.rows = append(g.rows, []string{
			fmt.Sprintf("MC23-%03d", i+1), d.Format("2006-01-02"), fmt.Sprintf("%d:%02d", 19+rng.IntN(4), rng.IntN(60)),
			sites[rng.IntN(len(sites))], a.kind.name, sex, "adult",
			mm(a.svl), mm(a.tibia), mm(a.head), mm(a.eye), mm(a.tym), gr(half(a.mass) + bag), gr(bag),
			[]string{"I. Varga", "T. Okafor"}[rng.IntN(2)], springNotes[rng.IntN(len(springNotes))], "IV"})
	}
	return g
}

// summerSheet is Tomasz Okafor's hand: body length in cm, dates in words, one
// bag for the whole season.
func summerSheet(rng *rand.Rand) *grid {
	g := &grid{file: "marrow-2023.xlsx", tab: "Summer", headings: []string{
		"ID", "Caught", "Place", "Sp.", "m/f", "Age", "SVL cm", "Tib", "Head W", "Eye", "Tymp", "Frog+bag (g)", "Who", "Remarks"}}
	for i := range 70 {
		a := newAnimal(rng)
		d := day(rng, 2023, time.July, 60)
		age := "ad"
		g.animals = append(g.animals, a)
		g.rows = append(g.rows, []string{
			fmt.Sprintf("MC23-%03d", 101+i), d.Format("2 Jan 2006"), sites[rng.IntN(len(sites))], a.kind.short,
			map[bool]string{true: "male", false: "female"}[a.male], age,
			cm(a.svl), mm(a.tibia), mm(a.head), mm(a.eye), mm(a.tym), gr(half(a.mass) + 5),
			"T. Okafor", springNotes[rng.IntN(len(springNotes))]})
	}
	return g
}

// juneSheet is Marisol Reyes's hand: Spanish headings, decimal commas, day
// first, species codes, bags by number.
func juneSheet(rng *rand.Rand) *grid {
	g := &grid{file: "june-2024-reyes.csv", headings: []string{
		"No", "Fecha", "Sitio", "Especie", "Sexo", "Etapa", "LHC (mm)", "Tibia", "Ancho cabeza", "Ojo", "Tímpano",
		"Peso bruto (g)", "Bolsa", "Quién", "Notas"}}
	bags := map[string]float64{"B1": 4.5, "B2": 5, "B3": 5.5}
	names := []string{"B1", "B2", "B3"}
	comma := func(s string) string { return strings.Replace(s, ".", ",", 1) }
	for i := range 90 {
		a := newAnimal(rng)
		d := day(rng, 2024, time.June, 30)
		bag := names[rng.IntN(3)]
		g.animals = append(g.animals, a)
		g.rows = append(g.rows, []string{
			fmt.Sprintf("MC24-%03d", i+1), d.Format("02/01/2006"), sites[rng.IntN(len(sites))], a.kind.code,
			map[bool]string{true: "macho", false: "hembra"}[a.male], "adulto",
			comma(mm(a.svl)), comma(mm(a.tibia)), comma(mm(a.head)), comma(mm(a.eye)), comma(mm(a.tym)),
			comma(gr(half(a.mass) + bags[bag])), bag, "M. Reyes", []string{"", "", "", "canta", "sin cola"}[rng.IntN(4)]})
	}
	return g
}
