package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// slip is the kind of thing that went wrong.
type slip string

// The usual slips.
const (
	tenTooSmall     slip = "ten times too small"
	tenTooLarge     slip = "ten times too large"
	hundredTooSmall slip = "a hundred times too small"
	hundredTooLarge slip = "a hundred times too large"
	inInches        slip = "in inches"
	inOunces        slip = "in ounces"
	digitsSwapped   slip = "two digits exchanged"
	digitMisread    slip = "a digit misread"
	tareLeftIn      slip = "tare not subtracted"
	tareTwice       slip = "tare subtracted twice"
	grossForTare    slip = "gross and tare exchanged"
	columnsSwapped  slip = "two columns exchanged"
	unexplained     slip = "wrong, by none of the usual slips"
	bothWrong       slip = "two cells wrong"
	rowStrange      slip = "the whole animal is unlike its group"
	sizeUnusual     slip = "the whole animal is larger or smaller than its group"
	nothingWrong    slip = "nothing wrong"
)

// stories tell a slip to people, as the end of "… brings it back: …".
var stories = map[slip]string{
	tenTooSmall:     "the decimal point stands one place too far left",
	tenTooLarge:     "the decimal point was lost or stands one place too far right",
	hundredTooSmall: "the decimal point stands two places too far left",
	hundredTooLarge: "the decimal point was lost or stands two places too far right",
	inInches:        "it was read in inches",
	inOunces:        "it was weighed in ounces",
	digitsSwapped:   "two digits were exchanged",
	digitMisread:    "one digit was misread",
	tareLeftIn:      "the bag was not subtracted",
	tareTwice:       "the bag was subtracted twice",
	grossForTare:    "gross and tare were exchanged",
	columnsSwapped:  "the two columns were exchanged",
}

// tell gives the story of a slip in a reading of some dimension.
func tell(s slip, kind dimension) string {
	if s == tenTooSmall && kind == length {
		return stories[s] + ", or it was written in cm for mm"
	}
	return stories[s]
}

const (
	inch  = 25.4         // mm, exact
	ounce = 28.349523125 // g, exact (avoirdupois)
)

// change is one way of rewriting one cell of the sheet, and what the
// measurement becomes by it.
type change struct {
	slip    slip
	reading *record.Reading // the cell that would be rewritten
	text    string          // as it would be written
	value   float64         // the measurement afterwards, in its own unit
	prior   float64
}

// changes lists the usual slips for a cell of a row.
func (f *fitted) changes(r *row, c *cell, decimals int) []change {
	var list []change
	if w := r.capture.Weighing; c.measurement == bodyMass && w != nil && c.first().Derived && w.Gross != nil {
		list = f.weighingChanges(w, c.value)
	} else {
		list = f.plainChanges(c.first(), c.kind, decimals)
		if c.measurement == bodyMass {
			list = append(list, f.bagChanges(r, c, decimals)...)
		}
	}
	return distinct(list)
}

// plainChanges rewrites a number by the slips that any number can suffer.
func (f *fitted) plainChanges(r *record.Reading, kind dimension, decimals int) []change {
	odds, w := f.settings.Odds, writtenOf(r)
	d := w.decimals()
	times := func(s slip, by float64, decimals int, prior float64) change {
		return change{s, r, w.as(w.value*by, decimals), w.value * by * w.factor, prior}
	}
	list := []change{
		times(tenTooSmall, 10, d-1, odds.FactorTen), times(tenTooLarge, 0.1, d+1, odds.FactorTen),
		times(hundredTooSmall, 100, d-2, odds.FactorHundred), times(hundredTooLarge, 0.01, d+2, odds.FactorHundred),
	}
	switch {
	case kind == length && w.unit == "mm":
		list = append(list, times(inInches, inch, decimals, odds.Unit))
	case kind == length && w.unit == "cm":
		list = append(list, times(inInches, inch/10, decimals+1, odds.Unit))
	case kind == mass && w.unit == "g":
		list = append(list, times(inOunces, ounce, decimals, odds.Unit))
	}
	respell := func(s slip, texts []string, prior float64) {
		for _, t := range texts {
			if v := parseWritten(t); v > 0 {
				list = append(list, change{s, r, t + " " + unitName(w.unit), v * w.factor, prior / float64(len(texts))})
			}
		}
	}
	respell(digitsSwapped, transposed(w.text), odds.Transposed)
	respell(digitMisread, misread(w.text), odds.Misread)
	return list
}

// bagChanges are the slips of a mass that was written as net.
func (f *fitted) bagChanges(r *row, c *cell, decimals int) []change {
	tare := f.usualTare(r.capture.Session)
	if w := r.capture.Weighing; w != nil && w.Tare != nil && w.Tare.Usable() {
		tare = w.Tare.Number
	}
	if !(tare > 0) || c.first().WrittenUnit != "" && c.first().WrittenUnit != "g" {
		return nil
	}
	w := writtenOf(c.first())
	var list []change
	if v := c.value - tare; v > 0 {
		list = append(list, change{tareLeftIn, c.first(), w.as(v, decimals), v, f.settings.Odds.Tare})
	}
	return append(list, change{tareTwice, c.first(), w.as(c.value+tare, decimals), c.value + tare, f.settings.Odds.Tare})
}

// weighingChanges are the slips of gross and tare behind a net mass.
func (f *fitted) weighingChanges(w *record.Weighing, net float64) []change {
	var list []change
	gross := w.Gross
	tare := 0.0
	if w.Tare != nil {
		tare = w.Tare.Number
	}
	for _, c := range f.plainChanges(gross, mass, gross.Decimals) {
		c.value -= tare
		list = append(list, c)
	}
	if w.Tare == nil {
		return positive(list)
	}
	for _, c := range f.plainChanges(w.Tare, mass, w.Tare.Decimals) {
		c.value = gross.Number - c.value
		list = append(list, c)
	}
	hand := writtenOf(gross)
	odds := f.settings.Odds
	list = append(list, change{tareTwice, gross, hand.as((gross.Number+tare)/hand.factor, hand.decimals()), gross.Number, odds.Tare})
	if tare > gross.Number {
		other := writtenOf(w.Tare)
		list = append(list, change{grossForTare, gross, other.as(other.value, other.decimals()), tare - gross.Number, odds.GrossForTare})
	}
	return positive(list)
}

// positive keeps the changes that leave a mass.
func positive(list []change) []change {
	return slices.DeleteFunc(list, func(c change) bool { return !(c.value > 0) })
}

// distinct joins changes that come to the same number in the same cell: the
// likelier keeps its name, the priors add up.
func distinct(list []change) []change {
	var out []change
	for _, c := range list {
		at := slices.IndexFunc(out, func(o change) bool {
			return o.reading == c.reading && math.Abs(o.value-c.value) <= 1e-9*c.value
		})
		if at < 0 {
			out = append(out, c)
			continue
		}
		sum := out[at].prior + c.prior
		if c.prior > out[at].prior {
			out[at] = c
		}
		out[at].prior = sum
	}
	return out
}
