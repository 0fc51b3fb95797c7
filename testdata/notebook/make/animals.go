package main

import (
	"math"
	"math/rand/v2"
	"strconv"
)

// kind is one species: its accepted name, the name of the 1980s, a code, its
// size, and proportions that are merely plausible.
type kind struct {
	name, old, code string
	svl             float64 // mm
	mass            float64 // g at 70 mm
	tibia, head     float64 // of the snout-vent length
}

var kinds = []kind{
	{"Lithobates pipiens", "Rana pipiens", "RAPI", 69, 31, .555, .325},
	{"Lithobates clamitans", "Rana clamitans", "RACL", 71, 33, .50, .355},
	{"Lithobates sylvaticus", "Rana sylvatica", "RASY", 50, 33, .525, .335},
	{"Lithobates septentrionalis", "Rana septentrionalis", "RASE", 60, 32, .49, .36},
	{"Anaxyrus americanus", "Bufo americanus", "BUAM", 72, 43, .385, .385},
}

// animal is one capture before anybody writes it down: lengths in mm, mass in g.
type animal struct {
	kind             kind
	male             bool
	svl, tibia, head float64
	mass             float64
}

func newAnimal(rng *rand.Rand, k kind) animal {
	spread := func(sd float64) float64 { return math.Exp(rng.NormFloat64() * sd) }
	a := animal{kind: k, male: rng.IntN(2) == 0}
	a.svl = k.svl * spread(.075)
	a.tibia = a.svl * k.tibia * spread(.022)
	a.head = a.svl * k.head * spread(.022)
	a.mass = k.mass * math.Pow(a.svl/70, 3) * spread(.075)
	return a
}

func (a animal) sex() string {
	if a.male {
		return "male"
	}
	return "female"
}

// fixed writes a number with a number of decimals.
func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

const (
	inch  = 25.4         // mm
	ounce = 28.349523125 // g, avoirdupois
)
