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
		values []float64
		median float64
	}{
		{[]float64{4}, 4},
		{[]float64{4, 5}, 4.5},
		{[]float64{4, 4, 4, 4.5, 40}, 4},
		{[]float64{1, 2, 3, 4, 100}, 3},
		{[]float64{4, 4.5, 5, 5.5, 6, 6}, 5.25},
	} {
		s := summary(c.values...)
		if s.Median() != c.median || s.N() != len(c.values) {
			t.Errorf("%v: median %v, n %d", c.values, s.Median(), s.N())
		}
	}
	if s := summary(math.NaN(), math.Inf(1)); s.N() != 0 || !math.IsNaN(s.Median()) {
		t.Errorf("%+v", s)
	}
}

func TestTareSummaryMerge(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 300 {
		var whole, left, right TareSummary
		var values []float64
		for range 1 + rng.Intn(20) {
			v := math.Round(1+rng.Float64()*20) / 2
			values = append(values, v)
			whole.Add(v)
			if rng.Intn(2) == 0 {
				left.Add(v)
			} else {
				right.Add(v)
			}
		}
		left.Merge(right)
		lc, ls := left.settle()
		wc, ws := whole.settle()
		if left.Median() != whole.Median() || lc != wc || ls != ws || left.N() != whole.N() {
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
		{"a bag of another size", "10.0", alike, ""},
		{"another size among many", "10.0", slices.Repeat(alike, 8), ruleTareUnlike},
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

// A small bag for a small animal is another size of bag; for an animal like most
// it is a doubt.
func TestSmallBagsAreForSmallAnimals(t *testing.T) {
	var sum TareSummary
	for range 64 {
		sum.AddCapture(capture(t, record.SameRow, "46", "6.0", "nil"))
	}
	for gross, want := range map[string]string{"12": "", "46": ruleTareUnlike, "130": ruleTareUnlike} {
		x := capture(t, record.SameRow, gross, "2.5", "nil")
		all := TareSummary{}
		all.Merge(sum)
		all.AddCapture(x)
		if fs := JudgeTare(x, all, Settings{Instruments: scales}); codes(fs) != want {
			t.Errorf("gross %s: %v, want %q", gross, fs, want)
		}
	}
}

// z = (ln 14 − centre)/scale on logs. Nine tares, eight of 4 g: the MAD is zero,
// the mean deviation is ln(3.5)/9 = 0.139196, the scale √(π/2) times that,
// 0.174456. No tare of the session is left without the smallest and the largest
// of its one, so that the centre is that of the sheet, ln 4; z = 7.18.
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
	for name, want := range map[string]float64{"value": 14, "n": 9, "centre": 4, "scale": 0.174456, "statistic": 7.181, "threshold": 3.5} {
		if math.Abs(got[name]-want) > 1e-5*want {
			t.Errorf("%s is %v, want %v", name, got[name], want)
		}
	}
	if fs[0].At.Column != 4 || fs[0].Group != "tares of session 2021-06-03 and of the sheet" {
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

// sheetOf makes captures of one session after another.
func sheetOf(t *testing.T, sessions ...[]string) (all []*record.Capture, sum TareSummary) {
	for i, tares := range sessions {
		for _, tare := range tares {
			x := capture(t, record.SameRow, "50", tare, "nil")
			x.Session = string(rune('a' + i))
			sum.AddCapture(x)
			all = append(all, x)
		}
	}
	return all, sum
}

func TestJudgeTareBySession(t *testing.T) {
	dry := []string{"2.4", "2.5", "2.3", "2.4", "2.6", "2.4", "2.5"}
	wet := []string{"3.6", "3.7", "3.8", "3.8", "3.9", "4.0", "4.1"}
	for _, c := range []struct {
		name     string
		sessions [][]string
		want     []string // tares that are doubted
	}{
		{"a wet night", [][]string{dry, dry, dry, wet}, nil},
		{"bags of two sizes", [][]string{dry, append([]string{"6.0", "6.1", "6.2"}, dry...), dry}, nil},
		{"one in ounces", [][]string{dry, append([]string{"0.09"}, dry...), dry}, []string{"0.09"}},
		{"two in ounces", [][]string{dry, append([]string{"0.09", "0.08"}, dry...), dry, dry}, []string{"0.09", "0.08"}},
		{"a decimal point lost", [][]string{dry, append([]string{"24"}, dry...), dry}, []string{"24"}},
		{"a bag of another kind, once", [][]string{dry, append([]string{"9.0"}, dry...), dry}, []string{"9.0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			all, sum := sheetOf(t, c.sessions...)
			var got []string
			for _, x := range all {
				for _, f := range JudgeTare(x, sum, Settings{}) {
					got = append(got, f.Value)
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("doubted %v, want %v", got, c.want)
			}
		})
	}
}
