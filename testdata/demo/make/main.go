// Command make writes the demo of Marrow Creek Field Station: an invented
// wetland station with invented people, places and numbers; the species are
// real. Run it from the module root: go run ./testdata/demo/make
//
// It makes clean captures first, with body proportions that are merely
// plausible, and then plants slips of the kinds that field sheets have. Each
// slip goes into planted.csv with its cell and the rule that has to find it.
package main

import (
	"log"
	"math"
	"math/rand/v2"
	"path/filepath"

	"spadefoot/testdata/written"
)

const folder = "testdata/demo"

func main() {
	rng := rand.New(rand.NewPCG(20230414, 7))
	spring, summer, june := springSheet(rng), summerSheet(rng), juneSheet(rng)
	p := planting{[][]string{{"file", "sheet", "row", "column", "capture", "heading", "right", "written", "slip", "rule", "suggestion"}}}
	plantSpring(&p, spring)
	plantSummer(&p, summer)
	plantJune(&p, june)
	for _, err := range []error{
		written.Workbook(filepath.Join(folder, "marrow-2023.xlsx"), spring.whole(), summer.whole()),
		writeText(filepath.Join(folder, "june-2024-reyes.csv"), june),
		written.CSV(filepath.Join(folder, "planted.csv"), "", p.rows),
	} {
		if err != nil {
			log.Fatal(err)
		}
	}
}

// kind is one species with the proportions that the demo gives it.
type kind struct {
	name, short, code, vernacular         string
	male, female                          float64 // snout–vent length, mm
	mass                                  float64 // g at 70 mm
	tibia, head, eye, tympMale, tympFemal float64 // of SVL; tympanum of eye
}

var kinds = []kind{
	{"Lithobates clamitans", "L. clamitans", "LICL", "green frog", 68, 73, 33, .50, .355, .115, 1.34, .96},
	{"Lithobates pipiens", "L. pipiens", "LIPI", "northern leopard frog", 66, 71, 31, .555, .325, .120, .70, .66},
	{"Lithobates sylvaticus", "L. sylvaticus", "LISY", "wood frog", 48, 53, 33, .525, .335, .125, .60, .58},
	{"Anaxyrus americanus", "A. americanus", "ANAM", "American toad", 66, 76, 43, .385, .385, .122, .46, .44},
}

// animal is one capture before anybody writes it down: lengths in mm, mass in g.
type animal struct {
	kind                       kind
	male                       bool
	svl, tibia, head, eye, tym float64
	mass                       float64
}

func newAnimal(rng *rand.Rand) animal {
	a := animal{kind: kinds[rng.IntN(len(kinds))], male: rng.IntN(2) == 0}
	spread := func(sd float64) float64 { return math.Exp(rng.NormFloat64() * sd) }
	mean, tym := a.kind.female, a.kind.tympFemal
	if a.male {
		mean, tym = a.kind.male, a.kind.tympMale
	}
	a.svl = mean * spread(.065)
	a.tibia = a.svl * a.kind.tibia * spread(.022)
	a.head = a.svl * a.kind.head * spread(.022)
	a.eye = a.svl * a.kind.eye * spread(.035)
	a.tym = a.eye * tym * spread(.035)
	a.mass = a.kind.mass * math.Pow(a.svl/70, 3) * spread(.075)
	return a
}

// half rounds to the nearest half gram, as a spring scale of 0.5 g is read.
func half(x float64) float64 { return math.Round(x*2) / 2 }
