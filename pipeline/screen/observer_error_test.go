package screen

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"spadefoot/pipeline/record"
)

// The repeatability of each hand is the residual standard deviation of a mixed
// model with animals at random, drawn to that of all hands
// (testdata/reference/repeatability.R, lme4): where every animal was taken as
// often the two are one; where not, the model weighs a little otherwise.
func TestRepeatabilityAgainstLme4(t *testing.T) {
	b, err := os.ReadFile("../../testdata/reference/repeatability.json")
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		All      float64
		Hands    map[string]float64
		Readings []struct {
			Hand    string
			Lengths []float64
		}
	}
	if err := json.Unmarshal(b, &want); err != nil {
		t.Fatal(err)
	}
	sum := NewSummary(Defaults())
	for i, animal := range want.Readings {
		c := &record.Capture{ID: fmt.Sprint("urn:x:", i), Key: fmt.Sprint("MC-", i), File: simulatedSheet, Row: i + 2}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Lithobates pipiens"})
		c.Set(record.Value{Field: record.Of("recordedBy"), Text: animal.Hand})
		for k, length := range animal.Lengths {
			replicate(addReading(c, bodyLength, strconv.FormatFloat(length, 'f', 2, 64), "mm", 3+k), k+1)
		}
		sum.AddPart([]*record.Capture{c})
	}
	repeats := &sum.measurements[bodyLength].repeats
	variance, _ := repeats.all().settle()
	if d := math.Sqrt(variance)/want.All - 1; math.Abs(d) > 0.005 {
		t.Errorf("all hands: %.6f, want %.6f", math.Sqrt(variance), want.All)
	}
	for hand, sd := range want.Hands {
		own, freedom := repeats.observers[observerNamed(hand)].settle()
		within := 1e-5 // squares are kept to 1e-12
		if hand == "B. Rook" {
			within = 0.02 // taken once to four times
		}
		if d := math.Sqrt(own)/sd - 1; math.Abs(d) > within {
			t.Errorf("%s: %.6f by %.0f repeats, want %.6f", hand, math.Sqrt(own), freedom, sd)
		}
	}
}
