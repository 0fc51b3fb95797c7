package statistics

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

func TestBodyAxisAgainstR(t *testing.T) {
	var ref struct {
		Length, Mass, Scaled, Residual []float64
		LineSE                         []float64
		SlopeSE                        [1]float64
		Slope, OLS                     [3]float64
		R                              [1]float64
	}
	readJSON(t, "infer_condition.json", &ref)
	a, err := FitBodyAxis(ref.Length, ref.Mass, .95)
	if err != nil {
		t.Fatal(err)
	}
	agree(t, "slope", a.Slope.Value, ref.Slope[0], 1e-10)
	agree(t, "slope low", a.Slope.Low, ref.Slope[1], 1e-9)
	agree(t, "slope high", a.Slope.High, ref.Slope[2], 1e-9)
	agree(t, "correlation", a.Correlation, ref.R[0], 1e-10)
	agree(t, "intercept", a.Intercept, ref.OLS[0], 1e-10)
	agree(t, "rise", a.Rise, ref.OLS[1], 1e-10)
	agree(t, "scale", a.Scale, ref.OLS[2], 1e-10)
	agree(t, "standard error of the slope", a.SlopeSE, ref.SlopeSE[0], 1e-10)
	if len(ref.Scaled) != 30 {
		t.Fatalf("%d animals in the reference", len(ref.Scaled))
	}
	for i := range ref.Scaled {
		agree(t, "scaled mass", a.ScaledMass(ref.Length[i], ref.Mass[i]), ref.Scaled[i], 1e-10)
		agree(t, "residual", a.Residual(ref.Length[i], ref.Mass[i]), ref.Residual[i], 1e-10)
		agree(t, "standard error of the line", a.ResidualError(ref.Length[i]), ref.LineSE[i], 1e-10)
	}
}

// The slope by its closed form, and the index of an animal of standard length
// is its own mass.
func TestBodyAxisClosedForm(t *testing.T) {
	length, mass := []float64{50, 60, 70, 80}, []float64{11, 21, 30, 47}
	a, err := FitBodyAxis(length, mass, .95)
	if err != nil {
		t.Fatal(err)
	}
	agree(t, "slope is rise over r", a.Slope.Value, a.Rise/a.Correlation, 1e-12)
	agree(t, "standard length", a.Centre, 65, 0)
	agree(t, "index at standard length", a.ScaledMass(65, 25), 25, 0)
	agree(t, "no error of the slope at standard length", a.ScaledError(65), 0, 0)
	agree(t, "error of the slope at double length", a.ScaledError(130), a.SlopeSE*math.Ln2, 1e-12)
	var sum float64
	for i := range length {
		sum += a.Residual(length[i], mass[i])
	}
	agree(t, "residuals add to nothing", sum, 0, 1e-12)
}

func TestBodyAxisDeclines(t *testing.T) {
	for name, c := range map[string]struct{ length, mass []float64 }{
		"unequal":  {[]float64{1, 2, 3}, []float64{1, 2}},
		"two":      {[]float64{1, 2}, []float64{1, 2}},
		"zero":     {[]float64{1, 2, 3}, []float64{0, 2, 3}},
		"negative": {[]float64{1, -2, 3}, []float64{1, 2, 3}},
		"infinite": {[]float64{1, math.Inf(1), 3}, []float64{1, 2, 3}},
		"constant": {[]float64{2, 2, 2}, []float64{1, 2, 3}},
	} {
		_, err := FitBodyAxis(c.length, c.mass, .95)
		if err == nil {
			t.Errorf("%s: no error", name)
		}
		if name == "two" && !errors.Is(err, ErrTooFewReadings) {
			t.Errorf("two animals: %v", err)
		}
	}
}

func ExampleFitBodyAxis() {
	length := []float64{52, 55, 58, 61, 64, 67, 70}
	mass := []float64{13, 15.5, 18, 21.5, 24, 28, 31}
	a, err := FitBodyAxis(length, mass, 0.95)
	fmt.Printf("b = %.2f, L0 = %.0f mm, a 70 mm frog of 28 g counts as %.1f g, %v\n",
		a.Slope.Value, a.Centre, a.ScaledMass(70, 28), err)
	// Output: b = 2.95, L0 = 61 mm, a 70 mm frog of 28 g counts as 18.7 g, <nil>
}
