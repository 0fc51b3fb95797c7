package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// Names in the measurement vocabulary that screening treats by name.
const (
	bodyLength = "snoutVentLength"
	bodyMass   = "bodyMass"
	grossMass  = "grossMass"
	bagMass    = "bagMass"
)

// dimension distinguishes lengths from masses; the usual slips differ.
type dimension uint8

const (
	neither dimension = iota
	length
	mass
)

// dimensionOf returns the dimension of a unit (UCUM code).
func dimensionOf(unit string) dimension {
	switch unit {
	case "mm", "cm", "m", "um", "[in_i]":
		return length
	case "g", "mg", "kg", "[oz_av]", "[lb_av]":
		return mass
	}
	return neither
}

// sizes are the units in millimetres and grams, exact.
var sizes = map[string]float64{
	"mm": 1, "cm": 10, "m": 1000, "um": 0.001, "[in_i]": inch,
	"g": 1, "mg": 0.001, "kg": 1000, "[oz_av]": ounce, "[lb_av]": 16 * ounce,
}

// cell is one measurement of one capture, on the log scale. Where it was taken
// more than once, value is the median.
type cell struct {
	measurement string
	number      int // of the measurement in the fit that the row is resolved by, from 1; 0 where that does not know it
	kind        dimension
	value       float64
	log         float64
	digits      float64 // standard uncertainty of log from the last digit, or the accuracy that is known
	resolution  float64 // and from all that can be read off by this hand
	bias        float64 // of the hand that read it, on the log scale
	readings    []*record.Reading
	ownRow      bool // it was read once, in the row of the capture
	explained   bool // a cause of many explains it
}

// first is the reading that a finding on the cell points at.
func (c *cell) first() *record.Reading { return c.readings[0] }

// sameReplicate returns the reading that was taken in the same turn as another,
// the first if there is none.
func (c *cell) sameReplicate(other *record.Reading) *record.Reading {
	for _, r := range c.readings {
		if r.Replicate == other.Replicate && r.Side == other.Side {
			return r
		}
	}
	return c.first()
}

// row is what screening sees of a capture.
type row struct {
	capture  *record.Capture
	species  string
	taxon    string // the species, of growing animals with their age: what it is compared with
	stage    string
	sex      string
	observer string
	hand     uint64 // hash of the observer
	day      string
	cells    []cell // by name of measurement
	measured bool   // it had cells before any was found wrong
	above    *row   // of the same table, nil if it is not known
	model    *model // of its taxon, or of all taxa, in the fit that it is resolved by; nil where neither has one
}

// hasSame reports whether a row has the same value as a cell.
func (r *row) hasSame(c *cell) bool {
	if r == nil {
		return false
	}
	own := r.find(c.measurement)
	return own != nil && !c.first().Derived && own.first().Text == c.first().Text
}

func (r *row) find(measurement string) *cell {
	i, ok := slices.BinarySearchFunc(r.cells, measurement, func(c cell, m string) int { return cmp.Compare(c.measurement, m) })
	if !ok {
		return nil
	}
	return &r.cells[i]
}

// rowBuilder makes rows in memory that it keeps. Rows are good until reset.
type rowBuilder struct {
	cells    []cell
	readings []*record.Reading
	series   []*record.Series // of the readings of the last capture
	order    []int            // of those of the body, by name of measurement
	aged     bool             // the age is among them
}

func (m *rowBuilder) reset() {
	clear(m.cells)
	clear(m.readings)
	clear(m.series)
	m.cells, m.readings, m.series, m.order, m.aged = m.cells[:0], m.readings[:0], m.series[:0], m.order[:0], false
}

// take returns memory for n more of something, in one piece that does not move.
func take[T any](buf *[]T, n int) []T {
	if cap(*buf)-len(*buf) < n {
		*buf = make([]T, 0, max(n, 2*cap(*buf)))
	}
	at := len(*buf)
	*buf = (*buf)[:at+n]
	return (*buf)[at : at+n : at+n]
}

// rowOf returns the row of one capture.
func rowOf(c *record.Capture) *row {
	r := new(rowBuilder).row(c)
	return &r
}

// row takes the lengths and masses of a capture; none of a row that stands for
// several animals. The mass of animal and bag together stands in where the mass of
// the animal is not known.
func (m *rowBuilder) row(c *record.Capture) row {
	r := row{capture: c}
	order := m.orderOf(c)
	if several := r.name(m.aged); several {
		return r
	}
	readings := take(&m.readings, len(c.Readings))[:0]
	names := 0
	for _, i := range order {
		reading := &c.Readings[i]
		if !reading.Usable() || !(reading.Number > 0) || math.IsInf(reading.Number, 0) || reading.Measurement == grossMass && c.Reading(bodyMass) != nil {
			continue
		}
		if at := len(readings); at == 0 || readings[at-1].Measurement != reading.Measurement {
			names++
		}
		readings = append(readings, reading)
	}
	if names == 0 {
		return r
	}
	r.cells, r.measured = take(&m.cells, names), true
	for i := range r.cells {
		k := 1
		for k < len(readings) && readings[k].Measurement == readings[0].Measurement {
			k++
		}
		own := &r.cells[i] // zero, as reset leaves it
		own.measurement, own.kind, own.readings = readings[0].Measurement, dimensionOf(readings[0].Unit), readings[:k:k]
		own.ownRow = k == 1 && int(readings[0].Row) == c.Row
		own.choose()
		readings = readings[k:]
	}
	return r
}

// orderOf lists the lengths and masses of the body among the readings of a capture, by
// name of measurement. Most captures have the same columns as the one before.
func (m *rowBuilder) orderOf(c *record.Capture) []int {
	same := len(m.series) == len(c.Readings)
	for i := 0; same && i < len(m.series); i++ {
		s, was := c.Readings[i].Series, m.series[i]
		same = s == was || s.Measurement == was.Measurement && s.Unit == was.Unit
	}
	if same {
		return m.order
	}
	m.series, m.order, m.aged = m.series[:0], m.order[:0], false
	for i := range c.Readings {
		s := c.Readings[i].Series
		m.aged = m.aged || s.Measurement == "age"
		m.series = append(m.series, s)
		if dimensionOf(s.Unit) != neither && s.Measurement != bagMass && vocabulary.OfBody(s.Measurement) {
			m.order = append(m.order, i)
		}
	}
	slices.SortStableFunc(m.order, func(a, b int) int { return strings.Compare(m.series[a].Measurement, m.series[b].Measurement) })
	return m.order
}

// name takes over taxon, stage, sex, observer and day of the capture, and reports whether
// it stands for several animals. Aged: it may have an age.
func (r *row) name(aged bool) (several bool) {
	c := r.capture
	r.species = c.Kind() // a name that could not be read is one all the same
	r.taxon = r.species
	if aged {
		if age := c.Reading("age"); age != nil && age.Number > 0 && age.Number < 1 {
			r.taxon = strings.TrimPrefix(fmt.Sprintf("%s, %.0f days old", r.species, age.Number*daysOfYear), ", ")
		}
	}
	r.stage, r.sex = strings.ToLower(c.Get("lifeStage")), sexKnown(c.Get("sex"))
	r.observer, r.day = c.Get("recordedBy"), c.Get("eventDate")
	r.hand = hash(r.observer)
	return c.Several()
}

// daysOfYear is how many days UCUM's year has.
const daysOfYear = 365.25

// unknownSexes are recorded of animals whose sex is not known.
var unknownSexes = []string{"indeterminate", "undetermined", "unknown", "u", "?"}

// sexKnown returns a sex in small letters, "" where it is not known: such an
// animal is of one of the sexes, not of a third.
func sexKnown(text string) string {
	if text = strings.ToLower(text); slices.Contains(unknownSexes, text) {
		return ""
	}
	return text
}

// settle computes the middle value, its log and its resolution.
func (c *cell) settle() {
	c.choose()
	c.log = math.Log(c.value)
}

// choose is settle without the log, which resolve adds: a summary needs few of them.
func (c *cell) choose() {
	if len(c.readings) == 1 {
		c.set(c.first().Number, readable(c.first()))
		return
	}
	slices.SortStableFunc(c.readings, func(a, b *record.Reading) int {
		return cmp.Or(cmp.Compare(a.Replicate, b.Replicate), a.From().Compare(b.From()))
	})
	values := make([]float64, len(c.readings))
	var u float64
	for i, r := range c.readings {
		values[i] = r.Number
		u = max(u, readable(r))
	}
	slices.Sort(values)
	n := len(values)
	c.set((values[(n-1)/2]+values[n/2])/2, u)
}

func (c *cell) set(value, u float64) {
	c.value, c.digits = value, u/value
	c.resolution = c.digits
}

// become gives a cell another value, read as finely as another cell was.
func (c *cell) become(value float64, as *cell) {
	c.value, c.log = value, math.Log(value)
	c.digits, c.resolution = as.digits, as.resolution
}

// readable is the standard uncertainty of a reading in its unit: half its
// expanded uncertainty where that is known, and at least that of a rectangular
// distribution as wide as the step it was read in, or its last digit.
func readable(r *record.Reading) float64 {
	step := r.Resolution
	if step == 0 {
		step = math.Pow10(-r.Decimals)
	}
	return max(step/math.Sqrt(12), r.Accuracy/2)
}
