package statistics

import "testing"

// outlierReference is what testdata/reference/outliers.R found with R's
// quantiles of Student's t, on data sets of its package MASS.
type outlierReference struct {
	Grubbs struct {
		Values                        []float64
		Index                         int
		Statistic, TwoSided, OneSided [1]float64
	}
	ESD struct {
		Values, Statistic, Critical []float64
		Index                       []int
		Outliers                    int
	}
}

func TestGrubbsAgainstR(t *testing.T) {
	var ref outlierReference
	readJSON(t, "outliers.json", &ref)
	r := ref.Grubbs
	g, err := Grubbs(r.Values, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	if g.Index != r.Index {
		t.Errorf("value %d is farthest, want %d", g.Index, r.Index)
	}
	agree(t, "G", g.G, r.Statistic[0], 1e-9)
	agree(t, "two-sided", g.Critical, r.TwoSided[0], 1e-9)
	agree(t, "one-sided", g.OneSided, r.OneSided[0], 1e-9)
}

func TestGeneralisedESDAgainstR(t *testing.T) {
	var ref outlierReference
	readJSON(t, "outliers.json", &ref)
	r := ref.ESD
	steps, outliers, err := GeneralisedESD(r.Values, len(r.Statistic), 0.05)
	if err != nil {
		t.Fatal(err)
	}
	if outliers != r.Outliers || len(steps) != len(r.Statistic) {
		t.Fatalf("%d outliers in %d steps, want %d in %d", outliers, len(steps), r.Outliers, len(r.Statistic))
	}
	for i, s := range steps {
		if s.Index != r.Index[i] {
			t.Errorf("step %d takes away value %d, want %d", i+1, s.Index, r.Index[i])
		}
		agree(t, "statistic", s.Statistic, r.Statistic[i], 1e-9)
		agree(t, "critical value", s.Critical, r.Critical[i], 1e-9)
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
