package report

import (
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/succession"
)

// Columns gathers which columns the table of captures has: every term, reading and
// unmatched heading that any capture holds. Of captures it keeps the last one, which Join
// does not take over. The zero value has none.
type Columns struct {
	terms    succession.Terms
	readings readingKeys
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
	for i, r := range cs.readings.of(c) {
		k := cs.readings.find(i, r)
		if k < 0 || cs.units[k] != r.Unit {
			k = cs.reading(keyOf(r), r.Unit)
			cs.readings.at[i].key = k
		}
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
	for i, key := range o.readings.keys.All {
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
	i := cs.readings.keys.Find(key)
	if i < 0 {
		i = cs.readings.keys.Add(readingKey{strings.Clone(key.measurement), strings.Clone(key.observer), strings.Clone(key.side), key.replicate})
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

// readingKeys numbers the readings of one capture after another. Most have the series
// of the reading that was at their place before.
type readingKeys struct {
	keys succession.Keys[readingKey]
	list []*record.Reading
	at   []lastRead
}

// lastRead is the series of the last reading at a place, and its number.
type lastRead struct {
	series *record.Series
	key    int
}

// of returns the readings of a capture, then the parts of its weighing, until the next
// is asked for.
func (ks *readingKeys) of(c *record.Capture) []*record.Reading {
	ks.list = ks.list[:0]
	for i := range c.Readings {
		ks.list = append(ks.list, &c.Readings[i])
	}
	for r := range c.Weighing.Readings() {
		ks.list = append(ks.list, r)
	}
	for len(ks.at) < len(ks.list) {
		ks.at = append(ks.at, lastRead{})
	}
	return ks.list
}

// find returns the number of the reading at a place, -1 where it has none.
func (ks *readingKeys) find(place int, r *record.Reading) int {
	at := &ks.at[place]
	if at.series != r.Series {
		at.series, at.key = r.Series, ks.keys.Find(keyOf(r))
	}
	return at.key
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
