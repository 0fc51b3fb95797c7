package screen

import (
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// label returns the measurement as the vocabulary has it: snoutVentLength is
// snout-vent length. Of a measurement of the survey's own the words of its name
// are taken apart, and capitals in a row stay as they are.
func label(measurement string) string {
	if name := labels()[measurement]; name != "" {
		return name
	}
	runes := []rune(measurement)
	var b strings.Builder
	for i, r := range runes {
		alone := unicode.IsUpper(r) && i > 0 && unicode.IsLower(runes[i-1]) && (i+1 == len(runes) || !unicode.IsUpper(runes[i+1]))
		if alone {
			b.WriteByte(' ')
			r = unicode.ToLower(r)
		}
		b.WriteRune(r)
	}
	return b.String()
}

// labels are those of the vocabulary by name.
var labels = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	all, _ := vocabulary.Measurements() // embedded; a test reads it whole
	for _, m := range all {
		out[m.Name] = m.Label
	}
	return out
})

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

// said writes a reading with its unit as published.
func said(r *record.Reading) string { return r.Text + " " + unitName(r.Unit) }
