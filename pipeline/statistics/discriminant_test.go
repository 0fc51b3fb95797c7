package statistics

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/floats"
)

// cases reads measurements and classes of a reference file; classes are
// numbered in the order of names.
func cases(t *testing.T, file string, columns, names []string) (rows [][]float64, class []int, all []map[string]string) {
	t.Helper()
	all = readCSV(t, file)
	for _, r := range all {
		var x []float64
		for _, c := range columns {
			x = append(x, number(t, r[c]))
		}
		rows = append(rows, x)
		for g, n := range names {
			if n == r["class"] {
				class = append(class, g)
			}
		}
	}
	return rows, class, all
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

var massCases = []struct {
	file           string
	columns, names []string
}{
	{"infer_iris.csv", []string{"Sepal.Length", "Sepal.Width", "Petal.Length", "Petal.Width"},
		[]string{"setosa", "versicolor", "virginica"}},
	{"infer_crabs.csv", []string{"FL", "RW", "CL", "CW", "BD"},
		[]string{"BF", "BM", "OF", "OM"}},
}

func TestDiscriminantAgainstMASS(t *testing.T) {
	for _, c := range massCases {
		rows, class, want := cases(t, c.file, c.columns, c.names)
		for _, kind := range []string{"lda", "qda"} {
			d, err := FitDiscriminant(rows, class, len(c.names), DiscriminantOptions{Quadratic: kind == "qda"})
			if err != nil {
				t.Fatal(err)
			}
			left, err := d.LeaveOneOut(rows, class)
			if err != nil {
				t.Fatal(err)
			}
			wrong := 0
			for i, x := range rows {
				pl, err := d.Place(x)
				if err != nil {
					t.Fatal(err)
				}
				what := fmt.Sprintf("%s %s case %d ", c.file, kind, i+1)
				comparePlacing(t, what, pl, c.names, want[i], kind+" ")
				comparePlacing(t, what+"left out ", left.Placements[i], c.names, want[i], kind+" left out ")
				if want[i][kind+" left out class"] != want[i]["class"] {
					wrong++
				}
			}
			if left.Wrong != wrong {
				t.Errorf("%s %s: %d wrong when left out, MASS has %d", c.file, kind, left.Wrong, wrong)
			}
			t.Logf("%s %s: %d of %d wrong when left out; confusion %v", c.file, kind, left.Wrong, len(rows), left.Confusion)
		}
	}
}

func comparePlacing(t *testing.T, what string, pl Placement, names []string, row map[string]string, prefix string) {
	t.Helper()
	for g, n := range names {
		want := number(t, row[prefix+"posterior "+n])
		// MASS works from singular vectors: far tails agree to fewer digits.
		tolerance := 1e-8
		if want < 1e-12 {
			tolerance = 1e-6
		}
		if want > 1e-250 {
			agree(t, what+n, pl.Posterior[g], want, tolerance)
		}
	}
	if names[pl.Class] != row[prefix+"class"] {
		t.Errorf("%s: placed in %s, MASS in %s", what, names[pl.Class], row[prefix+"class"])
	}
}

func TestLedoitWolfAgainstSklearn(t *testing.T) {
	var ref struct {
		Cases []struct {
			File, Cases string
			Shrinkage   float64
			Covariance  [][]float64
		}
	}
	readJSON(t, "infer_shrinkage.json", &ref)
	if len(ref.Cases) != 11 {
		t.Fatalf("%d cases", len(ref.Cases))
	}
	for _, r := range ref.Cases {
		for _, c := range massCases {
			if c.file != r.File {
				continue
			}
			rows, class, _ := cases(t, c.file, c.columns, c.names)
			var few int
			if n, _ := fmt.Sscanf(r.Cases, "first %d", &few); n == 1 {
				rows, class = rows[:few], class[:few]
			}
			var sub [][]float64
			for i, x := range rows {
				if few > 0 || r.Cases == "all" || c.names[class[i]] == r.Cases {
					sub = append(sub, x)
				}
			}
			cov, shrinkage, err := LedoitWolf(sub)
			if err != nil {
				t.Fatal(err)
			}
			what := r.File + " " + r.Cases
			agree(t, what+" shrinkage", shrinkage, r.Shrinkage, 1e-9)
			for j := range r.Covariance {
				for k, want := range r.Covariance[j] {
					agree(t, what+" covariance", cov[j*len(r.Covariance)+k], want, 1e-9)
				}
			}
		}
	}
}

// Taking a case out of the sums is the same as never having had it, with
// shrinkage, blocks and both kinds.
func TestWithoutIsARefit(t *testing.T) {
	c := massCases[1]
	rows, class, _ := cases(t, c.file, c.columns, c.names)
	rows[3] = []float64{80, 60, 150, 170, 70} // a slip of a factor of ten
	priors := []float64{1, 2, 3, 4}
	for _, o := range []DiscriminantOptions{
		{Priors: priors}, {Priors: priors, Shrink: true}, {Priors: priors, Quadratic: true, Shrink: true},
		{Priors: priors, Shrink: true, Blocks: []int{0, 0, 1, 1, 1}},
	} {
		d, err := FitDiscriminant(rows, class, 4, o)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(rows); i += 3 {
			less, err := d.Without(rows[i], class[i])
			if err != nil {
				t.Fatal(err)
			}
			others := append(append([][]float64(nil), rows[:i]...), rows[i+1:]...)
			otherClass := append(append([]int(nil), class[:i]...), class[i+1:]...)
			anew, err := FitDiscriminant(others, otherClass, 4, o)
			if err != nil {
				t.Fatal(err)
			}
			got, err1 := less.Place(rows[i])
			want, err2 := anew.Place(rows[i])
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			for g := range want.Distance {
				agree(t, "distance", got.Distance[g], want.Distance[g], 1e-8)
				agree(t, "likelihood", got.LogLikelihood[g], want.LogLikelihood[g], 1e-8)
				agree(t, "typicality", got.Typicality[g], want.Typicality[g], 1e-8)
				agree(t, "shrinkage", less.Shrinkage(g), anew.Shrinkage(g), 1e-8)
			}
		}
	}
}

// The parts of a contribution add up to the log likelihood ratio, less the
// determinants, in the columns and in a turned frame.
func TestContributionsAddUp(t *testing.T) {
	c := massCases[0]
	rows, class, _ := cases(t, c.file, c.columns, c.names)
	h := 1 / math.Sqrt2
	frame := [][]float64{{h, h, 0, 0}, {h, -h, 0, 0}, {0, 0, h, h}, {0, 0, h, -h}}
	for _, quadratic := range []bool{false, true} {
		d, err := FitDiscriminant(rows, class, 3, DiscriminantOptions{Quadratic: quadratic, Shrink: true})
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range [][]float64{rows[0], rows[77], rows[140]} {
			pl, err := d.Place(x)
			if err != nil {
				t.Fatal(err)
			}
			want := (pl.Distance[2] - pl.Distance[1]) / 2
			agree(t, "columns", floats.Sum(d.Contribution(x, 1, 2, nil)), want, 1e-9)
			agree(t, "distance", floats.Sum(d.DistanceParts(x, 2, frame)), pl.Distance[2], 1e-9)
			agree(t, "frame", floats.Sum(d.Contribution(x, 1, 2, frame)), want, 1e-9)
		}
	}
}

// Typicality of new cases of the class is uniform: mean 1/2, a twentieth below
// 0.05. A simulation with a fixed seed.
func TestTypicalityIsUniform(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 9))
	var below, n int
	var sum float64
	for range 200 {
		var rows [][]float64
		var class []int
		for i := range 24 {
			rows = append(rows, []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()})
			class = append(class, i%2)
		}
		d, err := FitDiscriminant(rows, class, 2, DiscriminantOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for range 10 {
			pl, err := d.Place([]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()})
			if err != nil {
				t.Fatal(err)
			}
			n++
			sum += pl.Typicality[0]
			if pl.Typicality[0] < .05 {
				below++
			}
		}
	}
	if mean, share := sum/float64(n), float64(below)/float64(n); math.Abs(mean-.5) > .03 || math.Abs(share-.05) > .015 {
		t.Errorf("mean %.3f, below 0.05 %.3f of %d", mean, share, n)
	}
}

func TestDiscriminantDeclines(t *testing.T) {
	good := [][]float64{{1, 2}, {2, 1}, {3, 5}, {4, 4}, {6, 5}}
	for name, c := range map[string]struct {
		rows  [][]float64
		class []int
		o     DiscriminantOptions
		want  error
	}{
		"no cases":       {nil, nil, DiscriminantOptions{}, ErrTooFewCases},
		"empty class":    {good, []int{0, 0, 0, 0, 0}, DiscriminantOptions{}, ErrTooFewCases},
		"too few":        {good[:3], []int{0, 1, 1}, DiscriminantOptions{}, ErrTooFewCases},
		"constant":       {[][]float64{{1, 2}, {1, 3}, {1, 5}, {1, 4}, {1, 5}}, []int{0, 0, 0, 1, 1}, DiscriminantOptions{Shrink: true}, ErrFlat},
		"collinear":      {[][]float64{{1, 2}, {2, 4}, {3, 6}, {4, 8}, {5, 10}}, []int{0, 0, 0, 1, 1}, DiscriminantOptions{}, ErrFlat},
		"ragged":         {[][]float64{{1, 2}, {2}}, []int{0, 1}, DiscriminantOptions{}, nil},
		"not a number":   {[][]float64{{1, 2}, {2, math.NaN()}}, []int{0, 1}, DiscriminantOptions{}, nil},
		"unknown class":  {good, []int{0, 0, 0, 1, 2}, DiscriminantOptions{}, nil},
		"bad priors":     {good, []int{0, 0, 0, 1, 1}, DiscriminantOptions{Priors: []float64{1}}, nil},
		"zero priors":    {good, []int{0, 0, 0, 1, 1}, DiscriminantOptions{Priors: []float64{0, 0}}, nil},
		"negative prior": {good, []int{0, 0, 0, 1, 1}, DiscriminantOptions{Priors: []float64{2, -1}}, nil},
		"blocks":         {good, []int{0, 0, 0, 1, 1}, DiscriminantOptions{Blocks: []int{1}}, nil},
	} {
		_, err := FitDiscriminant(c.rows, c.class, 2, c.o)
		if err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	d, err := FitDiscriminant(good, []int{0, 0, 0, 0, 1}, 2, DiscriminantOptions{Shrink: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.LeaveOneOut(good, []int{0, 0, 0, 0, 1}); !errors.Is(err, ErrTooFewCases) {
		t.Errorf("a class of one left out: %v", err)
	}
	if _, err := d.Place([]float64{1}); err == nil {
		t.Error("a short case was placed")
	}
}

func ExampleFitDiscriminant() {
	// Log of tibia over length and log of length, two kinds of frog.
	rows := [][]float64{{-.71, 4.0}, {-.69, 4.1}, {-.72, 4.2}, {-.70, 4.0}, {-.52, 4.1}, {-.50, 4.2}, {-.53, 4.0}, {-.51, 4.1}}
	d, err := FitDiscriminant(rows, []int{0, 0, 0, 0, 1, 1, 1, 1}, 2, DiscriminantOptions{Shrink: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, x := range [][]float64{{-.70, 4.1}, {-.20, 4.1}} {
		pl, _ := d.Place(x)
		fmt.Printf("kind %d, posterior %.3f, typicality %.3f\n", pl.Class, pl.Posterior[pl.Class], pl.Typicality[pl.Class])
	}
	// Output:
	// kind 0, posterior 1.000, typicality 0.928
	// kind 1, posterior 1.000, typicality 0.000
}
