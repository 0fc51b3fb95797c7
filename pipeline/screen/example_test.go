package screen_test

import (
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
)

// Twelve frogs, the last of them with a tibia written in centimetres.
func ExampleScreen() {
	svl := []float64{70.1, 68.4, 73.9, 75.2, 66.8, 71.5, 69.9, 72.2, 74.0, 67.7, 70.8, 71.2}
	tibia := []float64{37.2, 36.9, 39.4, 39.3, 35.6, 38.1, 36.6, 38.9, 38.8, 36.1, 37.9, 3.79}
	var captures []*record.Capture
	for i := range svl {
		c := &record.Capture{Key: fmt.Sprint("frog ", i+1), File: "frogs.csv", Row: i + 2}
		c.Set(record.Value{Field: record.Of("scientificName"), Text: "Lithobates pipiens"})
		for k, v := range []float64{svl[i], tibia[i]} {
			c.Readings = append(c.Readings, record.Reading{Series: &record.Series{Measurement: []string{"snoutVentLength", "tibiaLength"}[k], Unit: "mm"}, Number: v, Decimals: 1, Text: fmt.Sprint(v), Verbatim: fmt.Sprint(v)}.At(record.Address{File: "frogs.csv", Row: i + 2, Column: k + 1}))
		}
		captures = append(captures, c)
	}
	for _, f := range screen.Screen(captures, nil, screen.Defaults()) {
		fmt.Println(f.Level, f.At, f.Rule, f.Value, "→", f.Suggestion)
	}
	// Output: error frogs.csv, B13 value-off-line 3.79 → 37.9 mm
}
