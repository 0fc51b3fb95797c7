package statistics

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"
)

// robustReference is testdata/reference/screen_robust.json, written by R.
type robustReference struct {
	MAD []struct {
		Name        string
		X           []float64
		Median, MAD float64
	} `json:"mad"`
	Lines []struct {
		Name                    string
		X, Y, Weights           []float64
		Intercept, Slope, Scale float64
		Defaults                struct{ Intercept, Slope, Scale float64 }
	}
	MajorAxis []struct {
		X, Y                            []float64
		Slope, Intercept, Low, High, R2 float64
	}
	MCD []struct {
		Name                            string
		Share, LogDet                   float64
		Rows, Covariance, RawCovariance [][]float64
		Centre, RawCentre, Distance2    []float64
		H                               int
		Best                            []int
		Kept                            []bool
	} `json:"mcd"`
	ChiSquare []struct{ P, K, Q float64 }
	Digits    struct {
		Counts       [10]int
		Statistic, P float64
	}
}

func loadRobust(t testing.TB) robustReference {
	t.Helper()
	b, err := os.ReadFile("../../testdata/reference/screen_robust.json")
	if err != nil {
		t.Fatal(err)
	}
	var r robustReference
	if err := json.Unmarshal(b, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// near fails unless got and want agree to the given relative difference.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(math.Abs(want), 1e-6)) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

func nearAll(t *testing.T, what string, got, want []float64, tol float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range got {
		near(t, what, got[i], want[i], tol)
	}
}

func TestMADAgreesWithR(t *testing.T) {
	for _, c := range loadRobust(t).MAD {
		near(t, c.Name+" median", Median(c.X), c.Median, 1e-14)
		near(t, c.Name+" MAD", MAD(c.X), c.MAD, 1e-12)
	}
}

func TestMMLineAgreesWithLmrob(t *testing.T) {
	for _, c := range loadRobust(t).Lines {
		f, err := MMLine(c.X, c.Y)
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		near(t, c.Name+" slope", f.Slope, c.Slope, 1e-8)
		near(t, c.Name+" intercept", f.Intercept, c.Intercept, 1e-8)
		near(t, c.Name+" scale", f.Scale, c.Scale, 1e-8)
		for i := range c.Weights {
			if math.Abs(f.Weights[i]-c.Weights[i]) > 1e-6 {
				t.Errorf("%s weight %d: %g, want %g", c.Name, i, f.Weights[i], c.Weights[i])
			}
		}
		// lmrob's own stopping rule is 1e-7 of relative change.
		near(t, c.Name+" slope, default control", f.Slope, c.Defaults.Slope, 2e-5)
	}
}

func TestMajorAxisAgreesWithClosedForm(t *testing.T) {
	for _, c := range loadRobust(t).MajorAxis {
		m, err := StandardisedMajorAxis(c.X, c.Y, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "slope", m.Slope, c.Slope, 1e-12)
		near(t, "intercept", m.Intercept, c.Intercept, 1e-12)
		near(t, "low", m.Low, min(c.Low, c.High), 1e-9)
		near(t, "high", m.High, max(c.Low, c.High), 1e-9)
		near(t, "r²", m.R2, c.R2, 1e-12)
	}
}

func TestFastMCDAgreesWithCovMcd(t *testing.T) {
	for _, c := range loadRobust(t).MCD {
		m, err := FastMCD(c.Rows, MCDOptions{Share: c.Share})
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		if m.H != c.H {
			t.Errorf("%s: h = %d, want %d", c.Name, m.H, c.H)
		}
		if !slices.Equal(m.Best, c.Best) {
			t.Errorf("%s: best subset %v, want %v (log det %g, want %g)", c.Name, m.Best, c.Best, m.LogDet, c.LogDet)
			continue
		}
		near(t, c.Name+" log det", m.LogDet, c.LogDet, 1e-9)
		nearAll(t, c.Name+" raw centre", m.RawCentre, c.RawCentre, 1e-9)
		nearAll(t, c.Name+" centre", m.Centre, c.Centre, 1e-9)
		for i := range m.Covariance {
			nearAll(t, c.Name+" raw covariance", m.RawCovariance[i], c.RawCovariance[i], 1e-8)
			nearAll(t, c.Name+" covariance", m.Covariance[i], c.Covariance[i], 1e-8)
		}
		nearAll(t, c.Name+" distances", m.Distance2, c.Distance2, 1e-7)
		if !slices.Equal(m.Kept, c.Kept) {
			t.Errorf("%s: kept %v, want %v", c.Name, m.Kept, c.Kept)
		}
	}
}

func TestChiSquareAndDigitsAgreeWithR(t *testing.T) {
	r := loadRobust(t)
	for _, c := range r.ChiSquare {
		near(t, "quantile", ChiSquareQuantile(c.P, c.K), c.Q, 1e-9)
	}
	d := TerminalDigits(r.Digits.Counts, nil)
	near(t, "statistic", d.Statistic, r.Digits.Statistic, 1e-12)
	near(t, "p", d.P, r.Digits.P, 1e-9)
	if d.Digit != 0 || d.Freedom != 9 || d.N != 140 {
		t.Errorf("got %+v", d)
	}
}
