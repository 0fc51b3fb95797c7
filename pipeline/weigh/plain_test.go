package weigh

import (
	"math"
	"math/rand/v2"
	"testing"

	"spadefoot/pipeline/record"
)

func sameDifference(t *testing.T, a, b, step float64) bool {
	t.Helper()
	v, text, ok := plainDifference(a, b, step)
	if !ok {
		return false
	}
	if w, want := exactDifference(a, b, step); v != w || text != want {
		t.Errorf("%v − %v in steps of %v: %v %q, exactly %v %q", a, b, step, v, text, w, want)
	}
	return true
}

func TestPlainDifference(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 6))
	steps := []float64{0, 0.001, 0.01, 0.05, 0.1, 0.2, 0.25, 0.3, 0.5, 1, 2, 2.5, 5, 10, 20, 2.8349523125, 0.125, 1.0 / 3}
	plain := 0
	for range 20_000 {
		a, b := math.Round(r.Float64()*1e5), math.Round(r.Float64()*1e5)
		p := math.Pow10(r.IntN(7))
		if sameDifference(t, a/p, b/p, steps[r.IntN(len(steps))]) {
			plain++
		}
	}
	if plain < 8000 {
		t.Errorf("only %d differences were plain", plain)
	}
}

func FuzzPlainDifference(f *testing.F) {
	f.Add(33.0, 5.5, 0.1)
	f.Add(12.25, 0.125, 0.25)
	f.Fuzz(func(t *testing.T, a, b, step float64) {
		if math.IsInf(a, 0) || math.IsInf(b, 0) || math.IsInf(step, 0) || a != a || b != b || step != step {
			return
		}
		sameDifference(t, a, b, step)
	})
}

func TestSameLabel(t *testing.T) {
	names := []string{"", " ", "B 12", "b12", "B12 ", "Pesola 60 g", "pesola60G", "PESOLA\u00a060g", "É", "é", "x", "xx", "\xff", "\ufffd"}
	for _, a := range names {
		for _, b := range names {
			if got, want := sameLabel(a, b), labelKey(a) == labelKey(b); got != want {
				t.Errorf("%q and %q: %t, want %t", a, b, got, want)
			}
		}
	}
}

// A summary that goes on is judged by all of its tares.
func TestTareSummaryGoesOn(t *testing.T) {
	var sum TareSummary
	c := &record.Capture{Weighing: &record.Weighing{Way: record.SameRow, Tare: &record.Reading{Number: 50, Decimals: 1, Text: "50.0"}}}
	for range 6 {
		sum.Add(5)
	}
	if len(JudgeTare(c, sum, Settings{})) != 1 {
		t.Error("a tare far from the others was not found")
	}
	for range 60 {
		sum.Add(50)
	}
	if fs := JudgeTare(c, sum, Settings{}); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
}
