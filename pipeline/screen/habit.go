package screen

import (
	"cmp"
	"fmt"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// habits looks at how hands write rather than at animals: last digits that an
// observer prefers, runs of identical values, masses that stop where a scale
// ends, an observer who reads larger or smaller than the others. All are
// notes, at the first cell that they are about. It gathers counts, not
// readings, part by part.
type habits struct {
	words   words
	hands   hands
	columns columns
	scales  scales
	bias    *bias
}

func newHabits() *habits {
	w := words{}
	return &habits{words: w, hands: hands{words: w, of: map[string][]*hand{}}, columns: columns{words: w, open: map[tableKey]*tableColumns{}}, scales: scales{words: w, of: map[string]*scale{}},
		bias: &bias{words: w, observers: map[string]*observed{}}}
}

// add takes the rows of a part in, in the order of their addresses.
func (h *habits) add(rows []*row) {
	for _, r := range rows {
		c := r.capture
		h.hands.add(c, r.observer)
		h.columns.add(c)
		h.scales.add(c)
	}
	h.columns.endPart()
}

func (h *habits) findings(s Settings) []record.Finding {
	findings := h.hands.preferredDigits(s)
	findings = append(findings, h.columns.repeatedValues(s)...)
	findings = append(findings, h.scales.ends()...)
	return append(findings, h.bias.observerBias(s)...)
}

// hands are what each observer read of each measurement.
type hands struct {
	words words
	of    map[string][]*hand // by observer
}

// hand is what one observer read of one measurement.
type hand struct {
	observer    string
	measurement string
	n           int
	first       spot
	digits      []digitCount // by number of decimals, ascending
	values      moments      // as written
}

// digitCount counts the last digits of readings with so many decimals.
type digitCount struct {
	decimals int
	readings int
	digits   [10]int
}

// add takes the readings in that a person wrote.
func (h *hands) add(c *record.Capture, observer string) {
	own, known := h.of[observer]
	before, near := len(own), 0
	for i := range c.Readings {
		r := &c.Readings[i]
		if r.Derived || r.State != record.Measured {
			continue
		}
		at := handFor(own, r.Measurement, near)
		near = at + 1
		if at == len(own) {
			own = append(own, &hand{observer: h.words.keep(observer), measurement: h.words.keep(r.Measurement), first: h.words.keepSpot(spotOf(c, r))})
		}
		hand := own[at]
		if hand.first.capture.Compare(c.Address()) > 0 {
			hand.first = h.words.keepSpot(spotOf(c, r))
		}
		hand.add(r)
	}
	if !known || len(own) > before {
		h.of[h.words.keep(observer)] = own
	}
}

// handFor returns the place of the hand for a measurement, likely near a place;
// the number of hands if there is none.
func handFor(own []*hand, measurement string, near int) int {
	for i := range own {
		at := i + near
		if at >= len(own) {
			at -= len(own)
		}
		if own[at].measurement == measurement {
			return at
		}
	}
	return len(own)
}

// sorted lists the hands by observer and measurement.
func (h *hands) sorted() []*hand {
	var all []*hand
	for _, own := range h.of {
		all = append(all, own...)
	}
	sorting.Func(all, func(a, b *hand) int {
		return cmp.Or(cmp.Compare(a.observer, b.observer), cmp.Compare(a.measurement, b.measurement))
	})
	return all
}

func (h *hand) said() string {
	who := h.observer
	if who == "" {
		who = "observers without a name"
	}
	return fmt.Sprintf("%s by %s, n = %d", label(h.measurement), who, h.n)
}

// finding starts a finding on a hand at its first reading.
func (h *hand) finding(rule string) record.Finding {
	return record.Finding{Rule: rule, Level: record.Note, At: h.first.at, Capture: h.first.key,
		Field: h.measurement, Value: h.first.verbatim, Group: h.said()}
}
