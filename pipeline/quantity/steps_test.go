package quantity

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

func stepOf(cells ...string) float64 {
	var s Steps
	for _, c := range cells {
		v, _ := strconv.ParseFloat(c, 64)
		_, frac, _ := strings.Cut(c, ".")
		s.Add(v, len(frac))
	}
	return s.Step()
}

func TestStep(t *testing.T) {
	for _, c := range []struct {
		cells string
		want  float64
	}{
		{"29 30.5 31", 0.5}, {"31 29 30.5", 0.5}, {"29", 0}, {"", 0}, {"29 30", 1}, {"29.0 30.0 31.0 34.0", 1},
		{"5 5 5 5 5 5", 1}, {"4.5 4.5", 0.1}, {"10 20 30 40", 10}, {"4 6 8", 1}, {"12.3 14.7 15.1", 0.1}, {"12.25 12.5 13.75", 0.25},
		{"0 0 0", 0}, {"0.1234567 0.2345678", 0},
		{strings.Repeat("21.5 22 23.5 24 25.5 ", 8) + "22.3", 0.5}, // one slip among many
	} {
		if got := stepOf(strings.Fields(c.cells)...); got != c.want {
			t.Errorf("%s: %v, want %v", c.cells, got, c.want)
		}
	}
}

// Values read to a step tell that step, whatever their order, and in whatever parts they
// come.
func TestStepOfSimulatedColumns(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 11))
	for _, step := range []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5} {
		for range 100 {
			var s, joined Steps
			parts := make([]Steps, 3)
			for i := range 80 {
				v := math.Round(r.Float64()*60/step+10) * step
				text := strconv.FormatFloat(tidy(v, 4), 'f', -1, 64)
				_, frac, _ := strings.Cut(text, ".")
				s.Add(tidy(v, 4), len(frac))
				parts[i%len(parts)].Add(tidy(v, 4), len(frac))
			}
			for i := range parts {
				joined.Join(&parts[i])
			}
			if got := s.Step(); got != step || joined.Step() != step || joined.N() != s.N() || len(joined.seen) != len(s.seen) {
				t.Fatalf("read to %v: %v, joined %v of %d", step, got, joined.Step(), joined.N())
			}
		}
	}
}
