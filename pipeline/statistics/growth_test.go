package statistics

import (
	"errors"
	"slices"
	"testing"
)

func TestFabensAgainstR(t *testing.T) {
	var ref struct {
		First, Second, Time    []float64
		Asymptote, Rate, Scale [1]float64
	}
	readJSON(t, "growth.json", &ref)
	g, err := Fabens(ref.First, ref.Second, ref.Time)
	if err != nil || g.N != len(ref.First) {
		t.Fatal(g, err)
	}
	agree(t, "asymptote", g.Asymptote, ref.Asymptote[0], 1e-6)
	agree(t, "rate", g.Rate, ref.Rate[0], 1e-5)
	agree(t, "scale", g.Scale, ref.Scale[0], 1e-8)

	// Slips are left out, so that the curve is the one without them.
	second := slices.Clone(ref.Second)
	second[3], second[20] = second[3]/10, second[20]*1.4
	less, err := Fabens(slices.Delete(slices.Delete(slices.Clone(ref.First), 20, 21), 3, 4),
		slices.Delete(slices.Delete(slices.Clone(second), 20, 21), 3, 4), slices.Delete(slices.Delete(slices.Clone(ref.Time), 20, 21), 3, 4))
	if err != nil {
		t.Fatal(err)
	}
	g, err = Fabens(ref.First, second, ref.Time)
	if err != nil || g.N != less.N {
		t.Fatal(g, less, err)
	}
	agree(t, "asymptote beside slips", g.Asymptote, less.Asymptote, 1e-6)
}

// Heights of 93 children (Berkeley Growth Study, in R's ddalpha), each taken again after
// two to four years, against R's nls.
func TestFabensOnPublishedHeights(t *testing.T) {
	var ref struct {
		Heights struct {
			First, Second, Time    []float64
			Asymptote, Rate, Scale [1]float64
		}
	}
	readJSON(t, "published.json", &ref)
	h := ref.Heights
	g, err := Fabens(h.First, h.Second, h.Time)
	if err != nil || g.N != len(h.First) {
		t.Fatal(g, err)
	}
	agree(t, "asymptote", g.Asymptote, h.Asymptote[0], 1e-4)
	agree(t, "rate", g.Rate, h.Rate[0], 1e-4)
	agree(t, "scale", g.Scale, h.Scale[0], 1e-6)
}

func TestFabensDeclines(t *testing.T) {
	if _, err := Fabens([]float64{1, 2, 3}, []float64{2, 3, 4}, []float64{1, 1, 1}); !errors.Is(err, ErrTooFewReadings) {
		t.Error(err)
	}
	if _, err := Fabens([]float64{1}, []float64{2, 3}, []float64{1}); err == nil {
		t.Error("unequal lengths were taken")
	}
	// The larger the animal the more it grows: there is no asymptote.
	if g, err := Fabens([]float64{10, 20, 30, 40, 50}, []float64{11, 22, 33, 44, 55}, []float64{1, 1, 1, 1, 1}); err == nil {
		t.Errorf("%+v", g)
	}
}
