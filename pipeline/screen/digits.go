package screen

import (
	"math"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// written is a number as it stands in a cell, and the factor that takes it to the
// reading's own unit. Its comma is that of the column where the cell has none.
type written struct {
	numeral
	value, factor float64
	unit          string // UCUM code that it was written in
}

// writtenOf finds the number that a person wrote for a reading. Where the text
// does not show it plainly, the published number stands in.
func writtenOf(r *record.Reading) written {
	w := written{numeral: numeralIn(r.Verbatim), factor: 1, unit: unitOf(r)}
	w.comma = w.comma || r.Comma
	if w.value = w.numeral.value(); w.value > 0 {
		if w.unit != r.Unit {
			w.factor = r.Number / w.value
		}
		if math.Abs(w.value*w.factor-r.Number) <= math.Pow10(-r.Decimals) {
			return w
		}
	}
	text := r.Text
	if text == "" {
		text = strconv.FormatFloat(r.Number, 'f', max(r.Decimals, 0), 64)
	}
	w = written{numeral: numeralIn(text), value: r.Number, factor: 1, unit: r.Unit}
	w.comma = r.Comma
	return w
}

// as writes a value in the hand of w, with its separator and its unit.
func (w written) as(value float64, decimals int) string {
	s := strconv.FormatFloat(value, 'f', max(decimals, 0), 64)
	if w.comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s + " " + unitName(w.unit)
}
