package screen

import (
	"math"
	"strconv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// label returns the measurement as the vocabulary has it.
func label(measurement string) string { return vocabulary.Label(measurement) }

// figures writes a number to so many significant figures, without exponent.
func figures(v float64, n int) string {
	if v == 0 || !finite(v) {
		return strconv.FormatFloat(v, 'g', n, 64)
	}
	d := n - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	if d < 0 {
		p := math.Pow10(-d)
		return strconv.FormatFloat(math.Round(v/p)*p, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', d, 64)
}

// percent writes a probability.
func percent(p float64) string {
	if p > 0.995 {
		return "over 99 %"
	}
	return strconv.FormatFloat(100*p, 'f', 0, 64) + " %"
}

// unitName returns the sign that people write for a UCUM code.
func unitName(code string) string {
	switch code {
	case "[in_i]":
		return "in"
	case "[oz_av]":
		return "oz"
	case "[lb_av]":
		return "lb"
	case "um":
		return "µm"
	}
	return code
}

// readingText writes a reading with its unit as published.
func readingText(r *record.Reading) string { return r.Text + " " + unitName(r.Unit) }
