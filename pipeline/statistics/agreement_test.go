package statistics

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

type limitsReference struct {
	Bias, Lower, Upper [3]float64
	SD                 [1]float64
	Slope              [2]float64
}

type agreementReference struct {
	ICC []struct {
		Table                            [][]float64
		Value, F, DF1, DF2, P, Low, High []float64
	}
	One, Other [][]float64
	RepeatedSD [1]float64
	First      limitsReference
	TEM        []struct {
		Table         [][]float64
		TEM, Mean, SD [1]float64
		Interval      [2]float64
	}
}

func TestIntraclassesAgainstPsych(t *testing.T) {
	var ref agreementReference
	readJSON(t, "infer_agreement.json", &ref)
	if len(ref.ICC) != 2 {
		t.Fatal("want two tables")
	}
	for c, r := range ref.ICC {
		got, err := Intraclasses(r.Table, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range got {
			what := fmt.Sprintf("table %d, ICC %s ", c+1, v.Form)
			agree(t, what+"value", v.Value, r.Value[i], 1e-9)
			agree(t, what+"F", v.F, r.F[i], 1e-9)
			agree(t, what+"df1", v.DF1, r.DF1[i], 0)
			agree(t, what+"df2", v.DF2, r.DF2[i], 0)
			agree(t, what+"p", v.P, r.P[i], 1e-9)
			agree(t, what+"low", v.Low, r.Low[i], 1e-7)
			agree(t, what+"high", v.High, r.High[i], 1e-7)
		}
	}
}

func TestIntraclassEdges(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		table [][]float64
		fails bool
	}{
		"empty":          {nil, true},
		"one column":     {[][]float64{{1}, {2}}, true},
		"ragged":         {[][]float64{{1, 2}, {2}}, true},
		"one whole row":  {[][]float64{{1, 2}, {2, nan}}, true},
		"nothing varies": {[][]float64{{1, 1}, {1, 1}, {1, 1}}, false},
		"perfect":        {[][]float64{{1, 1}, {2, 2}, {3, 3}}, false},
	} {
		got, err := Intraclasses(c.table, 0.95)
		if (err != nil) != c.fails {
			t.Errorf("%s: error %v", name, err)
		}
		if name == "perfect" && (got[0].Value != 1 || got[2].Value != 1) {
			t.Errorf("perfect agreement: %+v", got)
		}
		if name == "nothing varies" && !math.IsNaN(got[0].Value) {
			t.Errorf("nothing varies: %+v", got[0])
		}
	}
	if _, err := Intraclasses([][]float64{{1, 2}, {2, 3}}, 1); err == nil {
		t.Error("level 1 was taken")
	}
}

func TestBlandAltmanAgainstR(t *testing.T) {
	var ref agreementReference
	readJSON(t, "infer_agreement.json", &ref)
	l, err := BlandAltman(columnOf(ref.One, 0), columnOf(ref.Other, 0), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		got  Bounded
		want [3]float64
	}{{"bias", l.Bias, ref.First.Bias}, {"lower limit", l.Lower, ref.First.Lower}, {"upper limit", l.Upper, ref.First.Upper}} {
		agree(t, c.name, c.got.Value, c.want[0], 1e-9)
		agree(t, c.name+" low", c.got.Low, c.want[1], 1e-9)
		agree(t, c.name+" high", c.got.High, c.want[2], 1e-9)
	}
	agree(t, "SD", l.SD, ref.First.SD[0], 1e-9)
	agree(t, "slope", l.Slope, ref.First.Slope[0], 1e-9)
	agree(t, "SE of slope", l.SlopeSE, ref.First.Slope[1], 1e-9)
	both, err := BlandAltmanRepeated(ref.One, ref.Other, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	agree(t, "SD from repeats", both.SD, ref.RepeatedSD[0], 1e-9)
}

func TestBlandAltmanEdges(t *testing.T) {
	if _, err := BlandAltman([]float64{1}, []float64{2}, .95); !errors.Is(err, ErrTooFewReadings) {
		t.Errorf("one pair: %v", err)
	}
	if _, err := BlandAltman([]float64{1, 2}, []float64{2}, .95); err == nil {
		t.Error("unequal lengths were taken")
	}
	l, err := BlandAltman([]float64{1, 2, math.NaN()}, []float64{0, 1, 5}, .95)
	if err != nil || l.Subjects != 2 || l.Bias != (Bounded{1, 1, 1}) || !math.IsNaN(l.Slope) {
		t.Errorf("constant shift: %+v, %v", l, err)
	}
}

func TestMeasurementErrorAgainstR(t *testing.T) {
	var ref agreementReference
	readJSON(t, "infer_agreement.json", &ref)
	for _, r := range ref.TEM {
		got, err := MeasurementError(r.Table, .95)
		if err != nil {
			t.Fatal(err)
		}
		agree(t, "TEM", got.TEM, r.TEM[0], 1e-9)
		agree(t, "mean", got.Mean, r.Mean[0], 1e-9)
		agree(t, "SD", got.SD, r.SD[0], 1e-9)
		agree(t, "low", got.Low, r.Interval[0], 1e-9)
		agree(t, "high", got.High, r.Interval[1], 1e-9)
		agree(t, "relative", got.Relative, 100*r.TEM[0]/r.Mean[0], 1e-9)
		agree(t, "reliability", got.Reliability, 1-math.Pow(r.TEM[0]/r.SD[0], 2), 1e-9)
		agree(t, "repeatability", got.Repeatability, 1.96*math.Sqrt(2)*r.TEM[0], 1e-9)
	}
}

// For two readings a subject the TEM is √(Σd²/2n), whatever else is in the rows.
func TestMeasurementErrorOfPairs(t *testing.T) {
	nan := math.NaN()
	got, err := MeasurementError([][]float64{{10, 11}, {nan, 4}, {20, nan, 18}, {30, 30}, {}}, .95)
	if err != nil {
		t.Fatal(err)
	}
	agree(t, "TEM", got.TEM, math.Sqrt((1+4+0)/6.), 1e-12)
	if got.Subjects != 3 || got.Readings != 6 || got.Freedom != 3 {
		t.Errorf("counts: %+v", got)
	}
	if _, err := MeasurementError([][]float64{{1, 2}, {3}}, .95); !errors.Is(err, ErrTooFewReadings) {
		t.Errorf("one subject: %v", err)
	}
}

func columnOf(rows [][]float64, j int) []float64 {
	var out []float64
	for _, r := range rows {
		out = append(out, r[j])
	}
	return out
}

func ExampleMeasurementError() {
	// Snout–vent length in mm of four frogs, read twice by one observer.
	t, err := MeasurementError([][]float64{{61.2, 61.6}, {54.0, 53.8}, {70.5, 70.1}, {66.3, 66.3}}, 0.95)
	fmt.Printf("TEM %.2f mm, %.2f %%, R %.3f, repeats differ by less than %.2f mm, %v\n",
		t.TEM, t.Relative, t.Reliability, t.Repeatability, err)
	// Output: TEM 0.21 mm, 0.34 %, R 0.999, repeats differ by less than 0.59 mm, <nil>
}

func ExampleIntraclasses() {
	judges := [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}
	forms, err := Intraclasses(judges, 0.95)
	for _, f := range forms[:3] {
		fmt.Printf("ICC(%s) %.2f (%.2f to %.2f)\n", f.Form, f.Value, f.Low, f.High)
	}
	fmt.Println(err)
	// Output:
	// ICC(1,1) 0.17 (-0.13 to 0.72)
	// ICC(2,1) 0.29 (0.02 to 0.76)
	// ICC(3,1) 0.71 (0.34 to 0.95)
	// <nil>
}
