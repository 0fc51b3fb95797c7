package statistics

import "testing"

// outlierReference is what testdata/reference/outliers.R found with R's
// quantiles of Student's t, on data sets of its package MASS.
type outlierReference struct {
	ESD struct {
		Values, Statistic, Critical []float64
		Index                       []int
		Outliers                    int
	}
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
	if _, _, err := GeneralisedESD([]float64{1, 2, 3}, 2, 0.05); err == nil {
		t.Error("ESD of two outliers on three values")
	}
}
