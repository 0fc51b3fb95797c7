package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

// weighedHerd is a herd of which the sheet says only name and mass: the young of
// the year, a third of the mass of the grown, are a fifth of it.
func weighedHerd(n int, seed uint64) []*record.Capture {
	draw := rand.New(rand.NewPCG(seed, 6))
	herd := make([]*record.Capture, n)
	for i := range herd {
		c := &record.Capture{ID: fmt.Sprint("urn:x:", i), Key: fmt.Sprint("MC-", i), File: simulatedSheet, Row: i + 2}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Bison bison"})
		grown := 1.0
		if draw.Float64() < 0.2 {
			grown = 0.37
		}
		addReading(c, bodyMass, strconv.FormatFloat(math.Round(420000*grown*math.Exp(0.18*draw.NormFloat64())), 'f', 0, 64), "g", 3)
		herd[i] = c
	}
	return herd
}

// Young whose stage nobody wrote are neither slips nor news, however far below the
// grown they lie; a mass that stands apart from all of them is one.
func TestYoungWithoutAStage(t *testing.T) {
	herd := weighedHerd(1500, 1)
	count := map[string]int{}
	for _, f := range Screen(herd, nil, Defaults()) {
		count[f.Rule]++
	}
	if count["value-far"] != 0 || count["value-extreme"] > 5 {
		t.Errorf("findings on a clean herd: %v", count)
	}
	slip := herd[700]
	rewrite(slip, 0, strconv.FormatFloat(slip.Readings[0].Number/100, 'f', 0, 64))
	found := 0
	for _, f := range Screen(herd, nil, Defaults()) {
		if f.Rule == "value-far" && f.At.Row == slip.Row {
			found++
		}
	}
	if found != 1 {
		t.Errorf("a mass a hundred times too small is found %d times", found)
	}
}
