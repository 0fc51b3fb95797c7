package screen

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

// skink is a lizard of which body, whole and mass were measured.
func skink(row int, svl, total, mass string) *record.Capture {
	c := &record.Capture{Key: "skink", File: "s.csv", Row: row, Session: "one"}
	c.Set(record.Value{Field: record.Of("scientificName"), Text: "Plestiodon fasciatus"})
	c.Readings = append(c.Readings, makeReading(c, "snoutVentLength", svl, "mm", 5), makeReading(c, "totalLength", total, "mm", 6), makeReading(c, bodyMass, mass, "g", 7))
	return c
}

// A tail that is shorter than others may have been lost. One that is longer, a total
// length below that of the body and a misplaced point are doubted as before.
func TestTailsMayBeLost(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 4))
	var all []*record.Capture
	for i := range 200 {
		svl := 62 * math.Exp(0.1*draw.NormFloat64())
		total := svl * 2.3 * math.Exp(0.03*draw.NormFloat64())
		mass := 6.5 * math.Pow(svl/62, 3) * math.Exp(0.08*draw.NormFloat64())
		all = append(all, skink(i+2, fmt.Sprintf("%.1f", svl), fmt.Sprintf("%.0f", total), fmt.Sprintf("%.1f", mass)))
	}
	sum := Summarise(all, Defaults())
	for _, c := range []struct{ svl, total, mass, in string }{
		{"62.0", "143", "6.5", ""},
		{"62.0", "112", "6.5", ""},
		{"62.0", "70", "6.5", ""},
		{"62.0", "214", "6.5", "total length"},
		{"62.0", "14.3", "6.5", "total length"},
		{"62.0", "1430", "6.5", "total length"},
	} {
		fs := slices.DeleteFunc(Judge(skink(900, c.svl, c.total, c.mass), sum, nil, Defaults()), func(f record.Finding) bool { return f.Level < record.Warning })
		if c.in == "" && len(fs) > 0 || c.in != "" && (len(fs) != 1 || !strings.Contains(fs[0].Reason, c.in)) {
			t.Errorf("%v: %+v", c, fs)
		}
	}
}
