package report

import (
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
)

// Columns gathers which columns the table of captures has: every term, reading and
// unmatched heading that any capture holds. It keeps no capture. The zero value has
// none.
type Columns struct {
	terms    succession.Terms
	readings succession.Keys[readingKey]
	extras   succession.Keys[string]

	termDiffers, readingDiffers []bool // was something written that differs from what is published?
	units                       []string
}

// Add notes what a capture holds.
func (cs *Columns) Add(c *record.Capture) {
	numbers := cs.terms.Of(c)
	cs.fit()
	for i, k := range numbers {
		if v := &c.Values[i]; !cs.termDiffers[k] {
			cs.termDiffers[k] = v.Verbatim != "" && v.Verbatim != v.Text
		}
	}
	for r := range everyReading(c) {
		k := cs.reading(keyOf(r), r.Unit)
		if !cs.readingDiffers[k] {
			cs.readingDiffers[k] = r.Verbatim != "" && r.Verbatim != shownReading(r)
		}
	}
	for i := range c.Extras {
		numbered(&cs.extras, c.Extras[i].Heading)
	}
}

// Join adds the columns that captures further down have.
func (cs *Columns) Join(o *Columns) {
	for i, name := range o.terms.All() {
		k := cs.terms.Number(name)
		cs.fit()
		cs.termDiffers[k] = cs.termDiffers[k] || o.termDiffers[i]
	}
	for i, key := range o.readings.All {
		k := cs.reading(key, o.units[i])
		cs.readingDiffers[k] = cs.readingDiffers[k] || o.readingDiffers[i]
	}
	for _, heading := range o.extras.All {
		numbered(&cs.extras, heading)
	}
}

// fit makes room for every term.
func (cs *Columns) fit() {
	cs.termDiffers = append(cs.termDiffers, make([]bool, len(cs.terms.All())-len(cs.termDiffers))...)
}

// reading numbers a reading, whose column has the unit of the last one.
func (cs *Columns) reading(key readingKey, unit string) int {
	i := cs.readings.Find(key)
	if i < 0 {
		i = cs.readings.Add(readingKey{strings.Clone(key.measurement), strings.Clone(key.observer), strings.Clone(key.side), key.replicate})
		cs.readingDiffers, cs.units = append(cs.readingDiffers, false), append(cs.units, "")
	}
	if cs.units[i] != unit {
		cs.units[i] = strings.Clone(unit)
	}
	return i
}

// numbered returns the number of a name, and keeps a copy of one that is new.
func numbered(names *succession.Keys[string], name string) int {
	i := names.Find(name)
	if i < 0 {
		i = names.Add(strings.Clone(name))
	}
	return i
}

type readingKey struct {
	measurement string
	observer    string // "" where the column is nobody's own
	side        string
	replicate   int
}

func keyOf(r *record.Reading) readingKey {
	return readingKey{r.Measurement, r.Observer, r.Side, r.Replicate}
}

func (k readingKey) heading() string {
	h := k.measurement
	if k.side != "" {
		h += " " + k.side
	}
	if k.observer != "" {
		h += " by " + k.observer
	}
	if k.replicate > 0 {
		h += " " + strconv.Itoa(k.replicate)
	}
	return h
}
