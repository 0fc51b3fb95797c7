package infer

import (
	"math"
	"math/rand/v2"
	"strconv"

	"spadefoot/pipeline/record"
)

// kind is a made-up species: logs of the mean measurements of an adult.
type kind struct {
	name                     string
	svl, tibia, head, foot   float64
	tympanum, eye, condition float64
}

var kinds = []kind{
	{"Lithobates clamitans", 72, 35, 26, 36, 9, 8.2, -9.1},
	{"Lithobates palustris", 62, 35, 20, 34, 4.6, 7.2, -9.25},
	{"Lithobates sylvaticus", 50, 28, 18, 27, 4.2, 5.6, -9.2},
}

// frogs makes n captures of each kind with correlated sizes, by a fixed seed.
func frogs(seed uint64, n int, of ...kind) []*record.Capture {
	r := rand.New(rand.NewPCG(seed, 77))
	var out []*record.Capture
	for _, k := range of {
		for i := range n {
			size, fat := .11*r.NormFloat64(), .08*r.NormFloat64()
			sex := []string{"male", "female"}[i%2]
			c := capture(len(out), map[string]string{"scientificName": k.name, "lifeStage": "adult", "sex": sex, "order": "Anura"})
			length := func(name string, mean, noise float64) float64 {
				v := mean * math.Exp(size+noise*r.NormFloat64())
				c.Readings = append(c.Readings, reading(name, strconv.FormatFloat(v, 'f', 1, 64)))
				return v
			}
			svl := length("snoutVentLength", k.svl, .012)
			length("tibiaLength", k.tibia, .025)
			length("headWidth", k.head, .03)
			length("footLength", k.foot, .03)
			length("eyeDiameter", k.eye, .03)
			length("tympanumDiameter", k.tympanum*map[string]float64{"male": 1.3, "female": .85}[sex], .05)
			mass := math.Exp(k.condition + 3*math.Log(svl) + fat)
			c.Readings = append(c.Readings, reading("bodyMass", strconv.FormatFloat(mass, 'f', 1, 64)))
			out = append(out, c)
		}
	}
	return out
}
