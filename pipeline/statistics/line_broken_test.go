package statistics

import (
	"errors"
	"math"
	"testing"
)

type bendsReference struct {
	X, Y, Start, Coefficients []float64
	Samples                   []struct {
		Values []float64
		Fits   []struct {
			Shares, Means, Scales []float64
			BIC                   float64
		}
	}
}

func TestBisquareRegressionAgainstRobustbase(t *testing.T) {
	var ref bendsReference
	readJSON(t, "bends.json", &ref)
	rows := make([][]float64, len(ref.X))
	for i, x := range ref.X {
		rows[i] = []float64{1, x, min(x-4, 0)}
	}
	r, err := BisquareRegression(rows, ref.Y, ref.Start, 0.05, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range ref.Coefficients {
		agree(t, "coefficient", r.Coefficients[k], want, 1e-7)
	}
	// Much that is known beforehand leaves nothing to the data.
	r, err = BisquareRegression(rows, ref.Y, ref.Start, 0.05, []float64{0, 1, 0}, []float64{0, 1e9, 1e9})
	if err != nil {
		t.Fatal(err)
	}
	agree(t, "slope as known", r.Coefficients[1], 1, 1e-6)
	for i := range rows {
		rows[i][2] = rows[i][1]
	}
	if _, err := BisquareRegression(rows, ref.Y, ref.Start, 0.05, nil, nil); !errors.Is(err, ErrTooFew) {
		t.Error("two columns that are one:", err)
	}
	if _, err := BisquareRegression(nil, nil, nil, 0.05, nil, nil); !errors.Is(err, ErrTooFew) {
		t.Error(err)
	}
}

func TestMixtureAgainstMclust(t *testing.T) {
	var ref bendsReference
	readJSON(t, "bends.json", &ref)
	for n, s := range ref.Samples {
		var sample Sample
		for _, v := range s.Values {
			sample.Add(math.Log(v))
		}
		best, least := 0, math.Inf(1)
		for k := 1; k <= 3; k++ {
			m, err := MixtureOf(&sample, k, 0.001, math.Inf(1))
			if err != nil {
				t.Fatal(err)
			}
			if m.BIC < least {
				best, least = k, m.BIC
			}
			if k > len(s.Fits) {
				continue // more classes than there are: the best fit is not certain
			}
			want := s.Fits[k-1]
			agree(t, "BIC", m.BIC, want.BIC, 1e-6)
			for c, class := range m.Classes {
				agree(t, "share", class.Share, want.Shares[c], 1e-4)
				agree(t, "mean", class.Mean, want.Means[c], 1e-5)
				agree(t, "scale", class.Scale, want.Scales[c], 1e-3)
			}
		}
		if best != len(s.Fits) {
			t.Errorf("sample %d: %d classes", n, best)
		}
	}
	if _, err := MixtureOf(&Sample{}, 2, 0.01, math.Inf(1)); !errors.Is(err, ErrTooFew) {
		t.Error(err)
	}
}

func TestBetween(t *testing.T) {
	agree(t, "equal classes", Between(NormalClass{0.5, 1, 0.2}, NormalClass{0.5, 3, 0.2}), 2, 1e-9)
	low, high := NormalClass{0.2, 1, 0.1}, NormalClass{0.8, 2, 0.3}
	x := Between(low, high)
	agree(t, "densities", low.density(x), high.density(x), 1e-9)
	agree(t, "one within the other", Between(NormalClass{0.01, 1, 3}, NormalClass{0.99, 1.1, 3}), 1.05, 1e-9)
}
