package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// slip is the kind of thing that went wrong.
type slip uint8

// The usual slips, and the other accounts of a capture.
const (
	tenTooSmall slip = iota
	tenTooLarge
	hundredTooSmall
	hundredTooLarge
	inInches
	inCentimetres
	inMillimetres
	inOunces
	digitsSwapped // two neighbouring digits exchanged
	digitMisread
	digitOneOff // one too large or too small
	digitDoubled
	digitDropped
	copiedDown     // from the row above
	copiedAcross   // from another column
	tareLeftIn     // not subtracted
	tareTwice      // subtracted twice
	grossForTare   // gross and tare exchanged
	columnsSwapped // two columns exchanged
	unexplained    // a cell wrong by none of the usual slips
	bothWrong      // two cells wrong
	rowStrange     // the whole animal is unlike its group
	sizeUnusual    // the whole animal is larger or smaller than its group
	tailShort      // a part of the tail was lost
	nothingWrong
	numberOfSlips
)

// stories describe slips to people, as the end of "… would fit: …".
var stories = [numberOfSlips]string{
	tenTooSmall:     "the decimal point is one place too far left",
	tenTooLarge:     "the decimal point was lost or is one place too far right",
	hundredTooSmall: "the decimal point is two places too far left",
	hundredTooLarge: "the decimal point was lost or is two places too far right",
	inInches:        "it was read in inches",
	inOunces:        "it was weighed in ounces",
	digitsSwapped:   "two digits were swapped",
	digitMisread:    "one digit was misread",
	digitOneOff:     "one digit is one off, as if a mark of the scale was miscounted",
	digitDoubled:    "one digit was written twice",
	digitDropped:    "one digit was left out",
	tareLeftIn:      "the bag was not subtracted",
	tareTwice:       "the bag was subtracted twice",
	grossForTare:    "gross and tare were swapped",
	columnsSwapped:  "the two columns were swapped",
}

// storyOf returns the story of a slip in a reading of some dimension.
func storyOf(s slip, kind dimension) string {
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
	value   float64         // the measurement afterwards, in its own unit
	prior   float64
	hand    *record.Reading // in whose hand it would be written
	spelled numeral         // the digits as they would be written, or else
	shown   float64         // the number, in the unit that the hand wrote
	digits  int             // of it after the separator
}

// respelled reports whether a digit is another, and not the point or the unit.
func (c *change) respelled() bool { return c.spelled.n > 0 }

// text is the cell as it would be written.
func (c *change) text() string {
	w := writtenOf(c.hand)
	if c.respelled() {
		return c.spelled.text() + " " + unitName(w.unit)
	}
	return w.as(c.shown, c.digits)
}

// between is a range of values. Only changes that lead to one of them are considered.
type between struct{ low, high float64 }

var anywhere = between{0, math.Inf(1)}

func (b between) holds(v float64) bool { return b.low <= v && v <= b.high }

// changes lists the usual slips for a cell of a row.
func (f *fitted) changes(r *row, c *cell, decimals int) []change {
	return f.changesIn(nil, r, c, decimals, anywhere)
}

// changesIn is changes in memory that is there.
func (f *fitted) changesIn(list []change, r *row, c *cell, decimals int, within between) []change {
	if w := r.capture.Weighing; c.measurement == bodyMass && w != nil && c.first().Derived && w.Gross != nil {
		list = f.weighingChanges(list, w, sessionMark(r.capture.Session), r.hand, within)
	} else {
		list = f.plainChanges(list, c.first(), c.kind, decimals, within)
		f.coarsen(list, r.hand)
		if c.measurement == bodyMass {
			list = f.bagChanges(list, r, c, decimals)
		}
	}
	return distinct(list)
}

// plainChanges rewrites a number by the slips that any number can suffer.
func (f *fitted) plainChanges(list []change, r *record.Reading, kind dimension, decimals int, within between) []change {
	odds, w := f.settings.Odds, writtenOf(r)
	times := func(s slip, by float64, decimals int, prior float64) {
		if v := w.value * by * w.factor; within.holds(v) {
			list = append(list, change{slip: s, reading: r, value: v, prior: prior, hand: r, shown: w.value * by, digits: decimals})
		}
	}
	times(tenTooSmall, 10, w.decimals-1, odds.FactorTen)
	times(tenTooLarge, 0.1, w.decimals+1, odds.FactorTen)
	times(hundredTooSmall, 100, w.decimals-2, odds.FactorHundred)
	times(hundredTooLarge, 0.01, w.decimals+2, odds.FactorHundred)
	switch {
	case kind == length && w.unit == "mm":
		times(inInches, inch, decimals, odds.Unit)
	case kind == length && w.unit == "cm":
		times(inInches, inch/10, decimals+1, odds.Unit)
	case kind == mass && w.unit == "g":
		times(inOunces, ounce, decimals, odds.Unit)
	}
	respell := func(s slip, each func(x numeral, give func(numeral)), prior float64) {
		n, before := 0, len(list)
		each(w.numeral, func(x numeral) {
			if !x.plausible() {
				return
			}
			n++
			if v := x.value() * w.factor; v > 0 && within.holds(v) {
				list = append(list, change{slip: s, reading: r, value: v, hand: r, spelled: x})
			}
		})
		for i := before; i < len(list); i++ {
			list[i].prior = prior / float64(n)
		}
	}
	respell(digitsSwapped, numeral.transposed, odds.Transposed)
	respell(digitMisread, numeral.misread, odds.Misread)
	respell(digitOneOff, numeral.oneOff, odds.OneOff)
	respell(digitDoubled, numeral.undoubled, odds.Doubled)
	if within.high >= w.leastCompleted()*w.factor {
		respell(digitDropped, numeral.completed, odds.Dropped)
	}
	return list
}

// pointMoved are slips by which the digits stay.
var pointMoved = [numberOfSlips]bool{tenTooSmall: true, tenTooLarge: true, hundredTooSmall: true, hundredTooLarge: true}

// offStep is how much less likely a reading is that the hand would not have
// taken, since it is finer than its steps.
const offStep = 0.03

// coarsen makes changes less likely that the hand would not have written: those
// finer than its steps and, where the decimal point moved, those with as many
// decimals as it hardly writes, unless it was read in cm. What was read in another unit has as many decimals
// as its steps need. 2.9 in a column with a decimal each is rather
// 23.9 or 29.9 with a digit left out than 29 with its point in another place.
func (f *fitted) coarsen(list []change, observer uint64) {
	var last *record.Reading // that the step is of
	s := &step{}
	for i := range list {
		c := &list[i]
		if c.reading != last {
			t := f.takingOf(c.reading, observer)
			if t == nil {
				continue
			}
			s, last = &t.step, c.reading
		}
		moved := !c.respelled() && pointMoved[c.slip]
		if !c.respelled() && !moved { // read in another unit
			if s.fine > 0 && (c.hand.WrittenUnit == "" || c.hand.WrittenUnit == c.hand.Unit) {
				c.digits = s.shows()
			}
			continue
		}
		if moved {
			if s.fine > 0 && (c.hand.WrittenUnit == "" || c.hand.WrittenUnit == c.hand.Unit) {
				c.prior *= max(s.writes(c.digits), offStep)
				if c.slip == tenTooSmall && c.hand.Unit == "mm" && c.digits == s.shows() {
					c.prior += f.settings.Odds.Unit // read in cm, which takes a decimal more than the steps
				}
			}
			continue
		}
		switch {
		case s.fine > 0 && !onStep(c.value, s.fine):
			c.prior *= offStep
		case s.coarse > 0 && !onStep(c.value, s.coarse):
			c.prior *= 1 - s.heaped
		}
	}
}

// bagChanges are the slips of a mass that was written as net. A gram more or less is
// another share of the mass with a bag than without, so that the density of the log
// changes by the ratio of the two.
func (f *fitted) bagChanges(list []change, of *row, c *cell, decimals int) []change {
	session := sessionMark(of.capture.Session)
	tare, twice := f.tares.within(session, c.value), f.tares.of(session, c.value)
	if w := of.capture.Weighing; w != nil && w.Tare != nil && w.Tare.Usable() {
		tare, twice = w.Tare.Number, w.Tare.Number
	}
	if !(tare > 0) || c.first().WrittenUnit != "" && c.first().WrittenUnit != "g" {
		return list
	}
	r := c.first()
	if v := c.value - tare; v > 0 {
		list = append(list, change{slip: tareLeftIn, reading: r, value: v, prior: f.bagOdds() * c.value / v, hand: r, shown: v, digits: decimals})
	}
	v := c.value + twice
	return append(list, change{slip: tareTwice, reading: r, value: v, prior: f.settings.Odds.Tare * c.value / v, hand: r, shown: v, digits: decimals})
}

// weighingChanges are the slips of gross and tare behind a net mass.
func (f *fitted) weighingChanges(list []change, w *record.Weighing, session, observer uint64, within between) []change {
	gross := w.Gross
	tare := 0.0
	if w.Tare != nil {
		tare = w.Tare.Number
	}
	list = f.plainChanges(list, gross, mass, gross.Decimals, between{within.low + tare, within.high + tare})
	f.coarsen(list, observer)
	for i := range list {
		list[i].value -= tare
	}
	if w.Tare == nil {
		return positive(list)
	}
	before := len(list)
	list = f.plainChanges(list, w.Tare, mass, w.Tare.Decimals, between{gross.Number - within.high, gross.Number - within.low})
	f.coarsen(list[before:], observer)
	octaves, bags := make([]int, 0, 8), make([]float64, 0, 8) // that are usual for animals of these
	for i := range list {
		c, bag := &list[i], tare
		if i >= before {
			bag, c.value = c.value, gross.Number-c.value
		}
		octave := octaveOf(c.value)
		at := slices.Index(octaves, octave)
		if at < 0 {
			at = len(octaves)
			octaves, bags = append(octaves, octave), append(bags, f.tares.inOctave(session, octave))
		}
		c.prior *= asBag(bag, bags[at])
	}
	hand := writtenOf(gross)
	odds := f.settings.Odds
	list = append(list, change{slip: tareTwice, reading: gross, value: gross.Number, prior: odds.Tare * asBag(tare, f.tares.of(session, gross.Number)),
		hand: gross, shown: (gross.Number + tare) / hand.factor, digits: hand.decimals})
	if tare > gross.Number {
		other := writtenOf(w.Tare)
		list = append(list, change{slip: grossForTare, reading: gross, value: tare - gross.Number, prior: odds.GrossForTare,
			hand: w.Tare, shown: other.value, digits: other.decimals})
	}
	return positive(list)
}

// asBag is how likely a tare is beside the bag that is usual for animals of such a
// mass, as a factor on the prior of an account that leaves both: less where it is less than half or more
// than double.
func asBag(tare, usual float64) float64 {
	if !(usual > 0) || tare <= 2*usual && usual <= 2*tare {
		return 1
	}
	return 0.1
}

// positive keeps the changes that leave a mass.
func positive(list []change) []change {
	return slices.DeleteFunc(list, func(c change) bool { return !(c.value > 0) })
}

// distinct joins changes that come to the same number in the same cell: the
// likelier keeps its name, the priors add up. It works in the list itself.
func distinct(list []change) []change {
	out := list[:0]
	var buf [128]float64
	values := buf[:0] // of out, side by side: they are gone through for each change
	for i := range list {
		c := &list[i]
		at, near := 0, 1e-9*c.value
		for at < len(values) && !(math.Abs(values[at]-c.value) <= near && out[at].reading == c.reading) {
			at++
		}
		if at == len(out) {
			out, values = append(out, *c), append(values, c.value)
			continue
		}
		sum := out[at].prior + c.prior
		if c.prior > out[at].prior {
			out[at], values[at] = *c, c.value
		}
		out[at].prior = sum
	}
	return out
}
