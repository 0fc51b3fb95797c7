package report

import (
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// Columns gathers which columns the table of captures has, from captures that
// are handed over one by one: every term, reading and unmatched heading that
// any capture holds. It keeps no capture.
type Columns struct {
	terms    slots[string]
	readings slots[readingKey]
	extras   slots[string]

	termDiffers, readingDiffers []bool // was something written that differs from what is published?
	units                       []string
}

// slots numbers keys in the order in which they first came. Captures of one
// table mostly hold the same in the same order, so the slot that was found at a
// place the last time is tried first.
type slots[K comparable] struct {
	keys []K
	at   map[K]int
	last []int
}

// find returns the slot of a key that stands at a place of its capture; -1 for
// none.
func (s *slots[K]) find(place int, key K) int {
	if place < len(s.last) {
		if i := s.last[place]; s.keys[i] == key {
			return i
		}
	}
	i, there := s.at[key]
	if !there {
		return -1
	}
	if place < len(s.last) {
		s.last[place] = i
	} else if place == len(s.last) {
		s.last = append(s.last, i)
	}
	return i
}

// add numbers a new key.
func (s *slots[K]) add(key K) int {
	if s.at == nil {
		s.at = map[K]int{}
	}
	i := len(s.keys)
	s.keys = append(s.keys, key)
	s.at[key] = i
	return i
}

// reader returns slots with the same numbers that can be searched on their own.
func (s *slots[K]) reader() slots[K] { return slots[K]{keys: s.keys, at: s.at} }

// Add notes what a capture holds.
func (cs *Columns) Add(c *record.Capture) {
	for i := range c.Values {
		v := &c.Values[i]
		if k := cs.term(i, v.Term); v.Verbatim != "" && v.Verbatim != v.Text {
			cs.termDiffers[k] = true
		}
	}
	place := 0
	for r := range everyReading(c) {
		k := cs.reading(place, keyOf(r))
		if cs.units[k] != r.Unit {
			cs.units[k] = strings.Clone(r.Unit)
		}
		if r.Verbatim != "" && r.Verbatim != shownReading(r) {
			cs.readingDiffers[k] = true
		}
		place++
	}
	for i := range c.Extras {
		cs.extra(i, c.Extras[i].Heading)
	}
}

func (cs *Columns) term(place int, name string) int {
	i := cs.terms.find(place, name)
	if i < 0 {
		i = cs.terms.add(strings.Clone(name))
		cs.termDiffers = append(cs.termDiffers, false)
	}
	return i
}

func (cs *Columns) reading(place int, key readingKey) int {
	i := cs.readings.find(place, key)
	if i < 0 {
		i = cs.readings.add(readingKey{strings.Clone(key.measurement), strings.Clone(key.observer), key.replicate})
		cs.readingDiffers, cs.units = append(cs.readingDiffers, false), append(cs.units, "")
	}
	return i
}

func (cs *Columns) extra(place int, heading string) int {
	i := cs.extras.find(place, heading)
	if i < 0 {
		i = cs.extras.add(strings.Clone(heading))
	}
	return i
}

// Merge adds the columns of captures that come after those of cs.
func (cs *Columns) Merge(later *Columns) {
	const nowhere = 1 << 30 // no place in a capture
	for i, name := range later.terms.keys {
		k := cs.term(nowhere, name)
		cs.termDiffers[k] = cs.termDiffers[k] || later.termDiffers[i]
	}
	for i, key := range later.readings.keys {
		k := cs.reading(nowhere, key)
		cs.readingDiffers[k], cs.units[k] = cs.readingDiffers[k] || later.readingDiffers[i], later.units[i]
	}
	for _, heading := range later.extras.keys {
		cs.extra(nowhere, heading)
	}
}

type readingKey struct {
	measurement string
	observer    string // "" where the column is nobody's own
	replicate   int
}

func keyOf(r *record.Reading) readingKey {
	return readingKey{r.Measurement, r.Observer, r.Replicate}
}

func (k readingKey) heading() string {
	h := k.measurement
	if k.observer != "" {
		h += " by " + k.observer
	}
	if k.replicate > 0 {
		h += " " + strconv.Itoa(k.replicate)
	}
	return h
}
