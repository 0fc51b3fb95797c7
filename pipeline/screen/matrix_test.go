package screen

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
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
		if !invert(m, make([]float64, n*n), n) {
			t.Fatalf("%d: no inverse", n)
		}
		for i, v := range want.RawMatrix().Data {
			if math.Abs(m[i]-v) > 1e-8*(1+math.Abs(v)) {
				t.Fatalf("%d: %g at %d, want %g", n, m[i], i, v)
			}
		}
	}
	if invert([]float64{1, 0, 2, 1}, make([]float64, 4), 2) || invert([]float64{nan}, make([]float64, 1), 1) {
		t.Error("a matrix that is not positive definite has an inverse")
	}
}

// plainNumber finds what the expression finds that says it shortly.
func TestPlainNumber(t *testing.T) {
	short := regexp.MustCompile(`\d+(?:[.,]\d+)?|[.,]\d+`)
	draw := rand.New(rand.NewPCG(4, 5))
	for range 5000 {
		text := make([]byte, draw.IntN(8))
		for i := range text {
			text[i] = "0179.,, cm-"[draw.IntN(11)]
		}
		if got, want := plainNumber(string(text)), short.FindString(string(text)); got != want {
			t.Fatalf("%q: %q, want %q", text, got, want)
		}
	}
}
