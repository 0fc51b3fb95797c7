package weigh

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

func summary(values ...float64) TareSummary {
	var s TareSummary
	for _, v := range values {
		s.Add(v)
	}
	return s
}

func TestTareSummary(t *testing.T) {
	for _, c := range []struct {
		values      []float64
		median, mad float64
	}{
		{[]float64{4}, 4, 0},
		{[]float64{4, 5}, 4.5, 0.5},
		{[]float64{4, 4, 4, 4.5, 40}, 4, 0},
		{[]float64{1, 2, 3, 4, 100}, 3, 1},
		{[]float64{4, 4.5, 5, 5.5, 6, 6}, 5.25, 0.75},
	} {
		s := summary(c.values...)
		if s.Median() != c.median || s.MAD() != c.mad || s.N() != len(c.values) {
			t.Errorf("%v: median %v, MAD %v, n %d", c.values, s.Median(), s.MAD(), s.N())
		}
	}
	if s := summary(math.NaN(), math.Inf(1)); s.N() != 0 || !math.IsNaN(s.Median()) || !math.IsNaN(s.MAD()) {
		t.Errorf("%+v", s)
	}
}

func TestTareSummaryMerge(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 300 {
		var whole, left, right TareSummary
		var values []float64
		for range 1 + rng.Intn(20) {
			v := math.Round(rng.Float64()*20) / 2
			values = append(values, v)
			whole.Add(v)
			if rng.Intn(2) == 0 {
				left.Add(v)
			} else {
				right.Add(v)
			}
		}
		left.Merge(right)
		if left.Median() != whole.Median() || left.MAD() != whole.MAD() || left.N() != whole.N() {
			t.Fatalf("%v: merged %v, whole %v", values, left, whole)
		}
		slices.Sort(values)
		n := len(values)
		if m := (values[(n-1)/2] + values[n/2]) / 2; m != whole.Median() {
			t.Fatalf("%v: median %v, want %v", values, whole.Median(), m)
		}
	}
}

func TestJudgeTare(t *testing.T) {
	alike := []float64{4, 4, 4, 4, 4, 4, 4, 4.5}
	spread := []float64{3.5, 4, 4, 4.5, 4.5, 5, 5, 5.5, 6}
	for _, c := range []struct {
		name     string
		tare     string
		others   []float64
		findings string
	}{
		{"like the others", "4.0", alike, ""},
		{"one mark off is nothing", "4.5", alike, ""},
		{"far off among equals", "14.0", alike, ruleTareUnlike},
		{"two marks off among equals", "5.0", alike, ""},
		{"ten times too heavy", "45", spread, ruleTareUnlike},
		{"the heaviest of many", "6.0", spread, ""},
		{"too few", "14.0", []float64{4, 4, 4}, ""},
		{"not taken", "n/a", alike, ""},
	} {
		x := capture(t, record.SameRow, "50", c.tare, "nil")
		sum := summary(c.others...)
		sum.AddCapture(x)
		if c.name == "not taken" && sum.N() != len(c.others) {
			t.Error("a missing tare was counted")
		}
		if fs := JudgeTare(x, sum, Settings{Instruments: scales}); codes(fs) != c.findings {
			t.Errorf("%s: %v, want %q", c.name, fs, c.findings)
		}
	}
}

// z = (14 − 4)/scale. Nine tares, eight of 4 g: the MAD is zero, the mean
// deviation is 10/9 = 1.1111, the scale √(π/2)·1.1111 = 1.3926, z = 7.181.
func TestJudgeTareFigures(t *testing.T) {
	x := capture(t, record.SameRow, "50", "14.0", "nil")
	sum := summary(4, 4, 4, 4, 4, 4, 4, 4)
	sum.AddCapture(x)
	fs := JudgeTare(x, sum, Settings{Instruments: scales})
	if len(fs) != 1 {
		t.Fatal(fs)
	}
	got := map[string]float64{}
	for _, f := range fs[0].Figures {
		got[f.Name] = f.Value
	}
	for name, want := range map[string]float64{"value": 14, "n": 9, "centre": 4, "scale": 1.39257, "statistic": 7.181, "threshold": 3.5} {
		if math.Abs(got[name]-want) > 1e-5*want {
			t.Errorf("%s is %v, want %v", name, got[name], want)
		}
	}
	if fs[0].At.Column != 4 || fs[0].Group != "tares of session 2021-06-03" {
		t.Errorf("%+v", fs[0])
	}
}

// One tare written for a whole session is not held against itself.
func TestJudgeTareOfSession(t *testing.T) {
	x := capture(t, record.SessionTare, "50", "14.0", "nil")
	if fs := JudgeTare(x, summary(4, 4, 4, 4, 4, 14), Settings{}); fs != nil {
		t.Error(fs)
	}
}
