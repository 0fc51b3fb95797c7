package screen

import (
	"maps"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// taking is how one hand takes one measurement.
type taking struct {
	step    step
	rougher float64 // by how much it repeats worse than the hands that a scale was learnt from
	bias    float64 // that is taken out
}

// takings are those of the hands of a survey.
type takings struct {
	names  []string            // of the measurements, ascending
	hands  map[uint64][]taking // by hash of the observer, then as the names
	anyone []taking            // of hands that nothing is known of
}

// learnTakings settles how finely each hand reads, and what is known of its error.
func (f *fitted) learnTakings(s *Summary) {
	t := &f.takings
	t.names, t.hands = sorting.SortedFunc(maps.Keys(s.measurements), strings.Compare), map[uint64][]taking{}
	for _, name := range t.names {
		t.anyone = append(t.anyone, taking{step: s.measurements[name].steps.all().step()})
	}
	own := func(observer uint64, at int) *taking {
		if t.hands[observer] == nil {
			t.hands[observer] = slices.Clone(t.anyone)
		}
		return &t.hands[observer][at]
	}
	for at, name := range t.names {
		for observer, c := range s.measurements[name].steps.observers {
			if step := c.step(); step.fine > 0 {
				own(observer, at).step = step
			}
		}
		h := f.errors[name]
		for observer, e := range h.of {
			k := own(observer, at)
			k.rougher, k.bias = h.rougher(observer), e.correction()
		}
	}
}

// by are the takings of a hand.
func (t *takings) by(observer uint64) []taking {
	if own, ok := t.hands[observer]; ok {
		return own
	}
	return t.anyone
}

// number gives the cells of a row the numbers of their measurements.
func (t *takings) number(r *row) {
	near := 0
	for i := range r.cells {
		c := &r.cells[i]
		if at := t.place(c.measurement, near); at >= 0 {
			near = at
			c.number = at + 1
		} else {
			c.number = 0
		}
	}
}

// place returns the place of a measurement from one on, -1 where nobody took it.
func (t *takings) place(measurement string, from int) int {
	for i := from; i < len(t.names); i++ {
		if t.names[i] == measurement {
			return i
		}
	}
	return -1
}

// takingOf is how the hand that took a reading of a row takes its measurement, nil
// where nobody is known to.
func (f *fitted) takingOf(r *record.Reading, row uint64) *taking {
	at := f.takings.place(r.Measurement, 0)
	if at < 0 {
		return nil
	}
	return &f.takings.by(observerOf(r, row))[at]
}
