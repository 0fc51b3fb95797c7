package statistics

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

func TestInvert(t *testing.T) {
	draw := rand.New(rand.NewPCG(4, 4))
	for n := 1; n <= 12; n++ {
		root := mat.NewDense(n, n+2, nil)
		for i := range n {
			for j := range n + 2 {
				root.Set(i, j, draw.NormFloat64())
			}
		}
		var product mat.Dense
		product.Mul(root, root.T())
		m := slices.Clone(product.RawMatrix().Data)
		var want mat.Dense
		if err := want.Inverse(&product); err != nil {
			t.Fatal(err)
		}
		if !Invert(m, make([]float64, n*n), n) {
			t.Fatalf("%d: no inverse", n)
		}
		for i, v := range want.RawMatrix().Data {
			if math.Abs(m[i]-v) > 1e-8*(1+math.Abs(v)) {
				t.Fatalf("%d: %g at %d, want %g", n, m[i], i, v)
			}
		}
	}
	if Invert([]float64{1, 0, 2, 1}, make([]float64, 4), 2) || Invert([]float64{math.NaN()}, make([]float64, 1), 1) {
		t.Error("a matrix that is not positive definite has an inverse")
	}
}

// The axes are those of gonum's general solver of the same problem.
func TestDiscriminantAxes(t *testing.T) {
	draw := rand.New(rand.NewPCG(4, 6))
	for n := 1; n <= 8; n++ {
		within, between := definite(draw, n), definite(draw, n)
		var inverse, product mat.Dense
		if err := inverse.Inverse(within); err != nil {
			t.Fatal(err)
		}
		product.Mul(&inverse, between)
		var eigen mat.Eigen
		if !eigen.Factorize(&product, mat.EigenNone) {
			t.Fatal("no eigenvalues")
		}
		want := make([]float64, n)
		for i, v := range eigen.Values(nil) {
			want[i] = real(v)
		}
		slices.Sort(want)
		slices.Reverse(want)
		axes := DiscriminantAxes(within.RawMatrix().Data, between.RawMatrix().Data, n)
		for k, a := range axes {
			v := mat.NewVecDense(n, a)
			if got := mat.Inner(v, within, v); math.Abs(got-1) > 1e-9 {
				t.Errorf("%d: axis %d has the variance %g within", n, k, got)
			}
			if got := mat.Inner(v, between, v); math.Abs(got-want[k]) > 1e-7*want[0] {
				t.Errorf("%d: axis %d parts by %g, want %g", n, k, got, want[k])
			}
			if largest := slices.MaxFunc(a, func(x, y float64) int { return int(math.Copysign(1, math.Abs(x)-math.Abs(y))) }); largest < 0 {
				t.Errorf("%d: axis %d points to %v", n, k, a)
			}
		}
	}
	if DiscriminantAxes([]float64{1, 1, 1, 1}, []float64{1, 0, 0, 1}, 2) != nil {
		t.Error("a flat covariance has axes")
	}
}

func definite(draw *rand.Rand, n int) *mat.Dense {
	root := mat.NewDense(n, n+3, nil)
	for i := range n {
		for j := range n + 3 {
			root.Set(i, j, draw.NormFloat64())
		}
	}
	var m mat.Dense
	m.Mul(root, root.T())
	return &m
}

// Quantiles and samples are those of gonum, which the program does without since
// its tables of routines for matrices are large.
func TestDistributions(t *testing.T) {
	same := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12*math.Max(1, math.Abs(want)) {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	for _, p := range []float64{1e-6, 0.025, 0.3, 0.5, 0.7, 0.975, 1 - 1e-6} {
		same("normal", NormalQuantile(p), distuv.UnitNormal.Quantile(p))
		for _, df := range []float64{1, 2.5, 7, 60, 4000} {
			same("t", StudentQuantile(p, df), distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(p))
			chi := distuv.ChiSquared{K: df}
			q := chi.Quantile(p)
			same("chi-square", ChiSquareQuantile(p, df), q)
			same("chi-square above", ChiSquareSurvival(q, df), chi.Survival(q))
			f := distuv.F{D1: df, D2: 9}
			same("F", FQuantile(p, df, 9), f.Quantile(p))
			same("F above", FSurvival(2*p, df, 9), f.Survival(2*p))
		}
	}
	for _, bad := range []float64{-0.1, 1.1, math.NaN()} {
		for _, q := range []float64{NormalQuantile(bad), StudentQuantile(bad, 3), ChiSquareQuantile(bad, 3), FQuantile(bad, 3, 3)} {
			if !math.IsNaN(q) {
				t.Errorf("the quantile at %g is %g", bad, q)
			}
		}
	}
	x, y := []float64{1e6 + 1, 1e6 + 2, 1e6 + 4, 1e6 + 8}, []float64{2, 3, 3, 7}
	mean, sd := MeanSD(x)
	wantMean, wantSD := stat.MeanStdDev(x, nil)
	same("mean", mean, wantMean)
	same("sd", sd, wantSD)
	same("correlation", correlation(x, y), stat.Correlation(x, y, nil))
	line := regression(x, y)
	intercept, slope := stat.LinearRegression(x, y, nil, false)
	same("intercept", line.Intercept, intercept)
	same("slope", line.Slope, slope)
}
