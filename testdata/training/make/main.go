// Command make writes the training day of Marrow Creek Field Station: an
// invented station with invented people and numbers. Run it from the module
// root: go run ./testdata/training/make
//
// An instructor and three trainees measure twelve model frogs of known size,
// three rounds each, with a dial caliper. Everybody scatters a little; two
// trainees have a habit besides, which planted.csv lists.
package main

import (
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strconv"

	"spadefoot/testdata/written"
)

const folder = "testdata/training"

// character is one measurement: its share of the snout-vent length in the
// models, and how far the readings of a careful person scatter, in mm.
type character struct {
	name, heading string
	share, spread float64
}

var characters = []character{
	{"snoutVentLength", "SVL (mm)", 1, .14},
	{"tibiaLength", "Tibia (mm)", .51, .11},
	{"headWidth", "HW (mm)", .36, .09},
	{"eyeDiameter", "Eye (mm)", .118, .05},
}

// person is one observer: care multiplies every scatter; shift and spread in
// mm are the habits, by measurement.
type person struct {
	short, name   string
	care          float64
	shift, spread map[string]float64
}

var people = []person{
	{short: "IV", name: "I. Varga", care: 1},
	{short: "AO", name: "A. Osei", care: 1.1, shift: map[string]float64{"snoutVentLength": .8}},
	{short: "ML", name: "M. Lindqvist", care: 1.1, spread: map[string]float64{"eyeDiameter": .36}},
	{short: "SH", name: "S. Haddad", care: 1.1},
}

const (
	models = 12
	rounds = 3
)

func main() {
	rng := rand.New(rand.NewPCG(20240518, 12))
	sizes := cast(rng)
	for _, err := range []error{
		written.CSV(filepath.Join(folder, "known.csv"), "# Sizes of the model frogs as cast, invented\n", known(sizes)),
		written.CSV(filepath.Join(folder, "caliper-day.csv"), "", day(rng, sizes)),
		written.CSV(filepath.Join(folder, "planted.csv"), "", planted()),
	} {
		if err != nil {
			log.Fatal(err)
		}
	}
}

// cast returns the sizes of the models: small to large, no two of one shape.
func cast(rng *rand.Rand) [models]map[string]float64 {
	var sizes [models]map[string]float64
	for i := range sizes {
		svl := 33 + 4.4*float64(i) + rng.Float64()
		sizes[i] = map[string]float64{}
		for _, c := range characters {
			shape := 1.0
			if c.share < 1 {
				shape += .05 * rng.NormFloat64()
			}
			sizes[i][c.name] = math.Round(100*svl*c.share*shape) / 100
		}
	}
	return sizes
}

func label(i int) string { return fmt.Sprintf("model %02d", i+1) }

func known(sizes [models]map[string]float64) [][]string {
	out := [][]string{{"individual", "measurement", "value", "unit"}}
	for i := range sizes {
		for _, c := range characters {
			out = append(out, []string{label(i), c.name, strconv.FormatFloat(sizes[i][c.name], 'f', 2, 64), "mm"})
		}
	}
	return out
}

// day is the sheet: one line for each model in the hand of one observer, the
// models in another order in each round.
func day(rng *rand.Rand, sizes [models]map[string]float64) [][]string {
	out := [][]string{{"Line", "Date", "Observer", "Model", "Round"}}
	for _, c := range characters {
		out[0] = append(out[0], c.heading)
	}
	for round := range rounds {
		for _, p := range people {
			for _, i := range rng.Perm(models) {
				row := []string{strconv.Itoa(len(out)), fmt.Sprintf("2024-05-%d", 18+round/2), p.short, label(i), strconv.Itoa(round + 1)}
				for _, c := range characters {
					row = append(row, strconv.FormatFloat(p.read(rng, c, sizes[i][c.name]), 'f', 1, 64))
				}
				out = append(out, row)
			}
		}
	}
	out[31][7] = "n/a"   // let go too early
	out[58][8] += "?"    // the writer wasn't sure
	out[102][5] += " mm" // the unit written once more
	return out
}

// read is one reading off a dial with steps of a tenth.
func (p person) read(rng *rand.Rand, c character, size float64) float64 {
	spread := math.Hypot(p.care*c.spread, p.spread[c.name])
	return math.Round(10*(size+p.shift[c.name]+spread*rng.NormFloat64())) / 10
}

// planted lists the habits, and who has none.
func planted() [][]string {
	out := [][]string{{"observer", "measurement", "habit", "size"}}
	for _, p := range people {
		n := len(out)
		for _, c := range characters {
			if v := p.shift[c.name]; v != 0 {
				out = append(out, []string{p.name, c.name, "bias", strconv.FormatFloat(v, 'f', 2, 64)})
			}
			if v := p.spread[c.name]; v != 0 {
				out = append(out, []string{p.name, c.name, "scatter", strconv.FormatFloat(math.Hypot(v, p.care*c.spread), 'f', 2, 64)})
			}
		}
		if len(out) == n {
			out = append(out, []string{p.name, "", "none", ""})
		}
	}
	return out
}
