package screen

import (
	"cmp"
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// habits looks at how observers write rather than at animals: last digits that an
// observer prefers, runs of identical values, masses that stop where a scale
// ends, an observer who reads larger or smaller than the others. All are
// notes, at the first cell that they are about. It gathers counts, not
// readings, part by part; those of different parts join in any order.
type habits struct {
	Hands   *digitHabits
	Columns *columns
	Scales  *scales
	Bias    *bias
}

func newHabits() *habits {
	w := words{}
	return &habits{&digitHabits{words: w, Of: map[string][]*digitHabit{}}, &columns{words: w, Open: map[tableKey]*tableColumns{}}, &scales{w, map[string]*scale{}},
		&bias{words: w, Observers: map[string]*observed{}}}
}

// add takes the rows of a part in, in the order of their addresses.
func (h *habits) add(rows []*row) {
	h.Hands.part++
	for _, r := range rows {
		c := r.capture
		h.Hands.add(c, r.observer)
		h.Columns.add(c)
		h.Scales.add(c)
	}
	h.Columns.endPart()
}

// join adds the habits of other parts.
func (h *habits) join(o *habits) {
	h.Hands.join(o.Hands)
	h.Columns.join(o.Columns)
	h.Scales.join(o.Scales)
	h.Bias.join(o.Bias)
}

func (h *habits) findings(s Settings) []record.Finding {
	findings := h.Hands.preferredDigits(s)
	findings = append(findings, h.Columns.repeatedValues(s)...)
	findings = append(findings, h.Scales.ends()...)
	return append(findings, h.Bias.observerBias(s)...)
}

// digitHabits are what each observer read of each measurement.
type digitHabits struct {
	words words
	Of    map[string][]*digitHabit // by observer
	part  int                      // number of the last part
}

// digitHabit is what one observer read of one measurement.
type digitHabit struct {
	Observer    string
	Measurement string
	N           int
	First       spot
	part        int          // the last part that it had readings in
	Digits      []digitCount // by number of decimals, ascending
	Values      spread       // as written
}

// digitCount counts the last digits of readings with so many decimals.
type digitCount struct {
	Decimals int
	Readings int
	Digits   [10]int
}

// add takes the readings in that a person read off a scale, and no counts.
func (h *digitHabits) add(c *record.Capture, observer string) {
	own, known := h.Of[observer]
	before, near := len(own), 0
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Derived || r.State != record.Measured || isCount(r) {
			continue
		}
		at := habitFor(own, r.Measurement, near)
		near = at + 1
		if at == len(own) {
			own = append(own, &digitHabit{Observer: h.words.keep(observer), Measurement: h.words.keep(r.Measurement), First: h.words.keepSpot(spotOf(c, r))})
		}
		hand := own[at]
		if hand.part != h.part && hand.First.Capture.Compare(c.Address()) > 0 {
			hand.First = h.words.keepSpot(spotOf(c, r))
		}
		hand.part = h.part
		hand.add(r)
	}
	if !known || len(own) > before {
		h.Of[h.words.keep(observer)] = own
	}
}

func (h *digitHabits) join(o *digitHabits) {
	for observer, theirs := range o.Of {
		own := h.Of[observer]
		for _, hand := range theirs {
			if at := habitFor(own, hand.Measurement, 0); at < len(own) {
				own[at].join(hand)
			} else {
				own = append(own, hand)
			}
		}
		h.Of[observer] = own
	}
}

func (h *digitHabit) join(o *digitHabit) {
	h.N += o.N
	if o.First.before(&h.First) {
		h.First = o.First
	}
	for i := range o.Digits {
		c := h.counts(o.Digits[i].Decimals)
		c.Readings += o.Digits[i].Readings
		for d, n := range o.Digits[i].Digits {
			c.Digits[d] += n
		}
	}
	h.Values.join(&o.Values)
}

// isCount reports whether a reading is a number of things, or of a stage, and
// was not read off a scale.
func isCount(r *record.Reading) bool { return r.Unit == "1" }

// habitFor returns the place of what was read of a measurement, likely near a place;
// their number if there is none.
func habitFor(own []*digitHabit, measurement string, near int) int {
	for i := range own {
		at := i + near
		if at >= len(own) {
			at -= len(own)
		}
		if own[at].Measurement == measurement {
			return at
		}
	}
	return len(own)
}

// sorted lists the hands by observer and measurement.
func (h *digitHabits) sorted() []*digitHabit {
	var all []*digitHabit
	for _, own := range h.Of {
		all = append(all, own...)
	}
	sorting.Func(all, func(a, b *digitHabit) int {
		return cmp.Or(cmp.Compare(a.Observer, b.Observer), cmp.Compare(a.Measurement, b.Measurement))
	})
	return all
}

func (h *digitHabit) description() string {
	who := h.Observer
	if who == "" {
		who = "observers without a name"
	}
	return fmt.Sprintf("%s by %s, n = %d", label(h.Measurement), who, h.N)
}

// finding starts a finding on a hand at its first reading.
func (h *digitHabit) finding(rule string) record.Finding {
	return record.Finding{Rule: rule, Level: record.Note, At: h.First.At, Capture: h.First.Key,
		Field: h.Measurement, Value: h.First.Verbatim, Group: h.description()}
}
