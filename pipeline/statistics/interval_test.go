package statistics

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// Means, shares, differences and ratios agree with t.test and prop.test of R.
func TestIntervalsAgreeWithR(t *testing.T) {
	var ref struct {
		Samples, Means, Welch, Wilson [][]float64
		Effort, Caught, Ratio, Same   []float64
	}
	readJSON(t, "season.json", &ref)
	moments := make([]Moments, len(ref.Samples))
	for i, sample := range ref.Samples {
		mean, sd := stat.MeanStdDev(sample, nil)
		moments[i] = Moments{len(sample), mean, sd}
		want := ref.Means[i] // n, mean, sd, median, range, intervals of 0.95 and 0.9
		for k, confidence := range []float64{0.95, 0.9} {
			low, high := MeanInterval(moments[i], confidence)
			agree(t, "mean, low", low, want[6+2*k], 1e-9)
			agree(t, "mean, high", high, want[7+2*k], 1e-9)
		}
	}
	for _, w := range ref.Welch {
		d := WelchDifference(moments[int(w[1])-1], moments[int(w[0])-1], w[2])
		for k, got := range []float64{d.Value, d.Error, d.Freedom, d.Low, d.High} {
			agree(t, fmt.Sprintf("Welch, figure %d", k), got, w[3+k], 1e-8)
		}
	}
	for _, w := range ref.Wilson {
		low, high := WilsonInterval(int(w[0]), int(w[1]), 0.95)
		agree(t, fmt.Sprintf("%g of %g, low", w[0], w[1]), low, w[2], 1e-9)
		agree(t, fmt.Sprintf("%g of %g, high", w[0], w[1]), high, w[3], 1e-9)
	}
	var sums, same RatioSums
	for i, x := range ref.Effort {
		sums.Add(x, ref.Caught[i])
		same.Add(3, ref.Caught[i])
	}
	for k, s := range []RatioSums{sums, same} {
		ratio, low, high := s.Ratio(0.95)
		for j, got := range []float64{ratio, low, high} {
			agree(t, "ratio", got, [][]float64{ref.Ratio, ref.Same}[k][j], 1e-9)
		}
	}
}

func TestIntervalsSayWhenTheyCannot(t *testing.T) {
	nan := func(what string, values ...float64) {
		t.Helper()
		for _, v := range values {
			if !math.IsNaN(v) {
				t.Errorf("%s: %v, want NaN", what, v)
			}
		}
	}
	low, high := MeanInterval(Moments{N: 1, Mean: 60}, 0.95)
	nan("the mean of one", low, high)
	low, high = WilsonInterval(0, 0, 0.95)
	nan("a share of none", low, high)
	d := WelchDifference(Moments{1, 60, math.NaN()}, Moments{5, 62, 2}, 0.95)
	nan("a difference from one", d.Error, d.Low, d.High)
	if d.Value != 2 {
		t.Errorf("the difference is %v, want 2", d.Value)
	}
	d = WelchDifference(Moments{3, 60, 0}, Moments{3, 62, 0}, 0.95)
	nan("a difference without spread", d.Low, d.High)
	ratio, low, high := RatioSums{}.Ratio(0.95)
	nan("a ratio of nothing", ratio, low, high)
}

func ExampleWelchDifference() {
	d := WelchDifference(Moments{23, 61.4, 4.2}, Moments{9, 64.1, 7.5}, 0.95)
	fmt.Printf("%.1f, from %.1f to %.1f\n", d.Value, d.Low, d.High)
	// Output: 2.7, from -3.2 to 8.6
}

func ExampleWilsonInterval() {
	low, high := WilsonInterval(3, 11, 0.95)
	fmt.Printf("%.2f to %.2f\n", low, high)
	// Output: 0.10 to 0.57
}
