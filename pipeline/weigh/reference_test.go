package weigh

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// reference reads a file of reference values; its first lines say what made it.
func reference(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(f)
	in.Comment = '#'
	rows, err := in.ReadAll()
	if err != nil || len(rows) < 10 {
		t.Fatal(len(rows), err)
	}
	return rows
}

// Accuracies by Python, from its own formula and by drawing; versions stand
// in the files. Of what was drawn the accuracy is twice the standard deviation of
// the errors, as far as its two digits and the draws tell, and the errors lie
// within it.
func TestReferenceAccuracies(t *testing.T) {
	for _, row := range reference(t, "accuracy.csv")[1:] {
		v, got, remark := accuracyOf(t, row)
		if got != significant(v[6], 2) {
			t.Errorf("%v: %v, want %v (%s)", row, got, significant(v[6], 2), remark)
		}
	}
	for _, row := range reference(t, "accuracy_draws.csv")[1:] {
		v, got, remark := accuracyOf(t, row)
		digit := math.Pow(10, math.Floor(math.Log10(got))-1)
		if math.Abs(got-v[6]) > 0.5*digit+0.003*v[6] || got+0.5*digit < v[7] {
			t.Errorf("%v: %v, drawn %v, and within %v (%s)", row, got, v[6], v[7], remark)
		}
	}
}

// accuracyOf weighs an animal under the conditions of a row of reference values.
func accuracyOf(t *testing.T, row []string) (v []float64, accuracy float64, remark string) {
	t.Helper()
	v = make([]float64, len(row))
	for i := range row {
		v[i], _ = strconv.ParseFloat(row[i], 64)
	}
	x := capture(t, record.SessionTare, "83.5", "14.0", "nil")
	if x.Weighing.Spread = v[4]; v[4] == 0 {
		x.Weighing.Way = record.SameRow
	}
	x.Weighing.Gross.Vary(func(s *record.Series) { s.Instrument = "one" })
	x.Weighing.Tare.Vary(func(s *record.Series) { s.Instrument = "two" })
	s := Settings{Instruments: []Instrument{
		{Name: "one", Unit: "g", Graduation: v[0], Calibration: v[2]}, {Name: "two", Unit: "g", Graduation: v[1], Calibration: v[3]}}}
	if v[5] > 0 {
		s.Repeats = record.Repeats{{Measurement: BodyMass, Standard: v[5], Said: "repeatability"}}
	}
	Weigh(x, BagTable{}, s)
	return v, x.Readings[0].Accuracy, x.Readings[0].Remark()
}

// Reference values by R; its version is in the file.
func TestReferenceTares(t *testing.T) {
	rows := reference(t, "tares.csv")
	near := func(a float64, s string) bool {
		b, err := strconv.ParseFloat(s, 64)
		return err == nil && math.Abs(a-b) <= 1e-9*math.Max(1, math.Abs(b))
	}
	judged := 0
	for _, row := range rows[1:] {
		var sum TareSummary
		last := 0.0
		for _, s := range strings.Fields(row[0]) {
			last, _ = strconv.ParseFloat(s, 64)
			sum.Add(last)
		}
		centre, scale := sum.settle()
		if !near(sum.Median(), row[1]) || !near(centre, row[2]) || !near(scale, row[3]) {
			t.Errorf("%s: %v %v %v, want %v", row[0], sum.Median(), centre, scale, row[1:4])
		}
		x := capture(t, record.SameRow, "50", strconv.FormatFloat(last, 'f', -1, 64), "nil")
		fs := JudgeTare(x, sum, Settings{Instruments: scales})
		z, _ := strconv.ParseFloat(row[4], 64)
		another := sum.kindOfBag(last, false) || math.Abs(math.Log(last)-centre) < math.Log(otherSize)
		if math.Abs(z) <= 3.5 && len(fs) > 0 || math.Abs(z) > 3.5 && len(fs) != 1 && !another {
			t.Errorf("%s: z is %v, findings %v", row[0], z, fs)
		}
		judged += len(fs)
	}
	if judged == 0 {
		t.Error("no set has a tare that is far off")
	}
}
