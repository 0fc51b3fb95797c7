package statistics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// cloud makes n points about a line, some of them far off.
func cloud(n int, seed uint64) (x, y []float64, rows [][]float64) {
	draw := rand.New(rand.NewPCG(seed, 1))
	for i := range n {
		a, b := draw.NormFloat64(), draw.NormFloat64()
		u, v := 4+a, 1+2*a+0.3*b
		if i%6 == 0 {
			v += 20 * draw.Float64()
		}
		x, y = append(x, u), append(y, v)
		rows = append(rows, []float64{u, v, a - b + 0.1*draw.NormFloat64()})
	}
	return x, y, rows
}

// The same points in another order give the same bits.
func TestOrderOfPointsDoesNotMatter(t *testing.T) {
	for _, n := range []int{20, 90, 900} {
		x, y, rows := cloud(n, uint64(n))
		order := rand.New(rand.NewPCG(7, 7)).Perm(n)
		xs, ys, rs := make([]float64, n), make([]float64, n), make([][]float64, n)
		for to, from := range order {
			xs[to], ys[to], rs[to] = x[from], y[from], rows[from]
		}
		a, _ := MMLine(x, y)
		b, _ := MMLine(xs, ys)
		if a.Line != b.Line || a.Scale != b.Scale {
			t.Errorf("MM, n %d: %v %g and %v %g", n, a.Line, a.Scale, b.Line, b.Scale)
		}
		for to, from := range order {
			if a.Weights[from] != b.Weights[to] {
				t.Fatalf("MM, n %d: weights differ", n)
			}
		}
		c, _ := TheilSen(x, y)
		d, _ := TheilSen(xs, ys)
		if c != d {
			t.Errorf("Theil–Sen, n %d: %v and %v", n, c, d)
		}
		p, err := FastMCD(rows, MCDOptions{Starts: 100})
		if err != nil {
			t.Fatal(err)
		}
		q, _ := FastMCD(rs, MCDOptions{Starts: 100})
		if p.LogDet != q.LogDet || !slices.Equal(p.Centre, q.Centre) {
			t.Errorf("MCD, n %d: %v and %v", n, p.Centre, q.Centre)
		}
	}
}

// A line through shifted and scaled points is the shifted and scaled line.
func TestMMLineIsEquivariant(t *testing.T) {
	x, y, _ := cloud(60, 3)
	a, err := MMLine(x, y)
	if err != nil {
		t.Fatal(err)
	}
	xs, ys := slices.Clone(x), slices.Clone(y)
	for i := range xs {
		xs[i], ys[i] = 10*xs[i]+3, -2*ys[i]+5*x[i]+1
	}
	b, _ := MMLine(xs, ys)
	near(t, "slope", b.Slope, (-2*a.Slope+5)/10, 1e-8)
	near(t, "scale", b.Scale, 2*a.Scale, 1e-8)
	near(t, "height", b.At(10*1.5+3), -2*a.At(1.5)+5*1.5+1, 1e-8)
}

// One point in six far off hardly moves the line, the scale or the centre.
func TestOutliersDoNotPull(t *testing.T) {
	x, y, rows := cloud(600, 11)
	l, _ := MMLine(x, y)
	if math.Abs(l.Slope-2) > 0.05 || math.Abs(l.Intercept+7) > 0.2 || math.Abs(l.Scale-0.3) > 0.12 {
		t.Errorf("got %+v, scale %g", l.Line, l.Scale)
	}
	m, err := FastMCD(rows, MCDOptions{})
	if err != nil || math.Abs(m.Centre[1]-1) > 0.2 {
		t.Errorf("centre %v, %v", m.Centre, err)
	}
}

func TestFitsSayWhenTheyCannot(t *testing.T) {
	if _, err := MMLine([]float64{1, 2, 3}, []float64{1, 2, 3}); err == nil {
		t.Error("MM on three points")
	}
	if _, err := MMLine([]float64{1, 1, 1, 1}, []float64{1, 2, 3, 4}); err == nil {
		t.Error("MM on one x")
	}
	if _, err := MMLine([]float64{1, 2}, []float64{1}); err == nil {
		t.Error("MM on unequal lengths")
	}
	if _, err := TheilSen([]float64{2, 2}, []float64{1, 3}); err == nil {
		t.Error("Theil–Sen on one x")
	}
	if _, err := StandardisedMajorAxis([]float64{1, 2, 3}, []float64{1, 1, 1}, 0.95); err == nil {
		t.Error("major axis of a flat cloud")
	}
	if _, err := FastMCD([][]float64{{1, 2}, {2, 3}, {3, 4}}, MCDOptions{}); err == nil {
		t.Error("MCD on three rows")
	}
	var plane [][]float64
	for i := range 20 {
		plane = append(plane, []float64{float64(i), 2 * float64(i)})
	}
	if _, err := FastMCD(plane, MCDOptions{}); err == nil {
		t.Error("MCD on a plane")
	}
	if !math.IsNaN(Median(nil)) || !math.IsNaN(MAD(nil)) || !math.IsNaN(ChiSquareQuantile(2, 3)) {
		t.Error("want NaN where there is nothing")
	}
}

// An exact line through most points has scale 0 and weights of 0 and 1.
func TestExactLine(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	y := []float64{3, 5, 7, 9, 11, 13, 40, -9}
	l, err := MMLine(x, y)
	if err != nil || math.Abs(l.Slope-2) > 1e-9 || l.Scale > 1e-9 {
		t.Errorf("got %+v, %v", l, err)
	}
}

// Samples of parts merge into the sample of the whole.
func TestSampleMergesExactly(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 5))
	var whole, a, b Sample
	var all []float64
	for i := range 500 {
		v := math.Round(draw.NormFloat64()*100) / 10
		all = append(all, v)
		whole.Add(v)
		if i%3 == 0 {
			a.Add(v)
		} else {
			b.Add(v)
		}
	}
	b.Merge(&a)
	if b.Centre() != whole.Centre() || b.Len() != 500 {
		t.Errorf("%+v, want %+v", b.Centre(), whole.Centre())
	}
	slices.Sort(all)
	if !slices.Equal(all, b.Values()) || whole.Centre().Median != Median(all) || whole.Median() != Median(all) ||
		whole.Centre().RawMAD != RawMAD(all) || whole.Centre().MeanAD != MeanAD(all, Median(all)) {
		t.Error("values differ")
	}
}

func TestScaleOfHeapedSamples(t *testing.T) {
	var s Sample
	for _, v := range []float64{4, 4, 4, 4, 4, 5, 3, 9} {
		s.Add(v)
	}
	scale, way := s.Centre().Scale(0.1)
	if way != "mean absolute deviation" || math.Abs(scale-MeanADScale*7.0/8) > 1e-12 {
		t.Errorf("%g by %s", scale, way)
	}
	var flat Sample
	for range 9 {
		flat.Add(2)
	}
	if scale, way := flat.Centre().Scale(0.29); scale != 0.29 || way != "resolution of the readings" {
		t.Errorf("%g by %s", scale, way)
	}
}

func TestTerminalDigitsOfHalves(t *testing.T) {
	d := TerminalDigits([10]int{0: 70, 5: 30}, []int{0, 5})
	if d.Freedom != 1 || d.Statistic != 16 || d.Digit != 0 || d.Share != 0.7 {
		t.Errorf("got %+v", d)
	}
	if d := TerminalDigits([10]int{}, nil); !math.IsNaN(d.P) {
		t.Errorf("nothing counted: %+v", d)
	}
}

func ExampleMMLine() {
	length := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	height := []float64{3.1, 4.9, 7.2, 8.8, 11.1, 12.9, 60, 16.9}
	l, err := MMLine(length, height)
	fmt.Printf("slope %.2f, weight of the seventh %.0f, %v\n", l.Slope, l.Weights[6], err)
	// Output: slope 1.98, weight of the seventh 0, <nil>
}

// What hangs together does not depend on what stands apart from it.
func TestTogether(t *testing.T) {
	var s Sample
	for i := range 21 {
		s.Add(float64(i))
	}
	for _, far := range []float64{-40, -38.5, 23, 100} {
		s.Add(far)
	}
	if low, high := s.Together(1); low != 0 || high != 20 {
		t.Errorf("%g to %g", low, high)
	}
	if low, high := s.Together(3); low != 0 || high != 23 {
		t.Errorf("%g to %g", low, high)
	}
	if low, high := s.Together(100); low != -40 || high != 100 {
		t.Errorf("%g to %g", low, high)
	}
	if low, _ := new(Sample).Together(1); !math.IsNaN(low) {
		t.Errorf("of nothing: %g", low)
	}
}
