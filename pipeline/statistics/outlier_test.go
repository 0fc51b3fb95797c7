package statistics

import (
	"math"
	"testing"
)

// The mass spectrometer readings of uranium isotopes and Rosner's 54 values
// with their statistics are those of the NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.5.17.1 and 1.3.5.17.3, from memory.
var (
	uranium = []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	rosner  = []float64{-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56,
		1.58, 1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23,
		2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59,
		3.68, 4.30, 4.64, 5.34, 5.42, 6.01}
	rosnerR      = []float64{3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067}
	rosnerLambda = []float64{3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085}
)

func TestGrubbsOnUranium(t *testing.T) {
	g, err := Grubbs(uranium, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	if g.Index != 7 || math.Abs(g.G-2.4687) > 1e-4 || math.Abs(g.OneSided-2.032) > 5e-4 {
		t.Errorf("got %+v, want value 7 with G 2.4687 against 2.032", g)
	}
	if g.Critical <= g.OneSided {
		t.Errorf("two-sided %g not above one-sided %g", g.Critical, g.OneSided)
	}
}

func TestGeneralisedESDOnRosner(t *testing.T) {
	steps, outliers, err := GeneralisedESD(rosner, 10, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	if outliers != 3 {
		t.Errorf("%d outliers, want 3", outliers)
	}
	for i, s := range steps {
		if math.Abs(s.Statistic-rosnerR[i]) > 1e-3 || math.Abs(s.Critical-rosnerLambda[i]) > 1e-3 {
			t.Errorf("step %d: R %.4f, lambda %.4f, want %.3f, %.3f", i+1, s.Statistic, s.Critical, rosnerR[i], rosnerLambda[i])
		}
	}
	if steps[0].Index != 53 || steps[1].Index != 52 || steps[2].Index != 51 {
		t.Errorf("took away %v first", steps[:3])
	}
}

func TestOutlierTestsSayWhenTheyCannot(t *testing.T) {
	if _, err := Grubbs([]float64{1, 2}, 0.05); err == nil {
		t.Error("Grubbs on two values")
	}
	if _, err := Grubbs([]float64{2, 2, 2, 2}, 0.05); err == nil {
		t.Error("Grubbs on equal values")
	}
	if _, _, err := GeneralisedESD([]float64{1, 2, 3}, 2, 0.05); err == nil {
		t.Error("ESD of two outliers on three values")
	}
}
