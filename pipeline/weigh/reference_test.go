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

// Reference values by R; its version stands in the file.
func TestReferenceTares(t *testing.T) {
	f, err := os.Open(filepath.Join(need.Root(t), "testdata", "reference", "tares.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in := csv.NewReader(f)
	in.Comment = '#'
	rows, err := in.ReadAll()
	if err != nil || len(rows) < 40 {
		t.Fatal(len(rows), err)
	}
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
		if centre, scale := sum.settle(); !near(sum.Median(), row[1]) || !near(centre, row[2]) || !near(scale, row[3]) {
			t.Errorf("%s: %v %v %v, want %v", row[0], sum.Median(), centre, scale, row[1:4])
		}
		x := capture(t, record.SameRow, "50", strconv.FormatFloat(last, 'f', -1, 64), "nil")
		fs := JudgeTare(x, sum, Settings{Instruments: scales})
		z, _ := strconv.ParseFloat(row[4], 64)
		if math.Abs(z) <= 3.5 && len(fs) > 0 || math.Abs(z) > 3.5 && len(fs) != 1 && !sum.kindOfBag(last, false) {
			t.Errorf("%s: z is %v, findings %v", row[0], z, fs)
		}
		judged += len(fs)
	}
	if judged == 0 {
		t.Error("no set has a tare that is far off")
	}
}
