package screen

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// Names in the measurement vocabulary that screening treats by name.
const (
	bodyLength = "snoutVentLength"
	bodyMass   = "bodyMass"
	grossMass  = "grossMass"
	bagMass    = "bagMass"
)

// dimension tells lengths from masses; the usual slips differ.
type dimension uint8

const (
	neither dimension = iota
	length
	mass
)

var dimensions = map[string]dimension{
	"mm": length, "cm": length, "m": length, "um": length, "[in_i]": length,
	"g": mass, "mg": mass, "kg": mass, "[oz_av]": mass, "[lb_av]": mass,
}

// sizes are the units in millimetres and grams, exact.
var sizes = map[string]float64{
	"mm": 1, "cm": 10, "m": 1000, "um": 0.001, "[in_i]": inch,
	"g": 1, "mg": 0.001, "kg": 1000, "[oz_av]": ounce, "[lb_av]": 16 * ounce,
}

// cell is one measurement of one capture, on the log scale. Where it was taken
// more than once, value is the middle one.
type cell struct {
	measurement string
	kind        dimension
	value       float64
	log         float64
	resolution  float64 // standard uncertainty of log from what can be read off
	readings    []*record.Reading
}

// first is the reading that a finding on the cell points at.
func (c *cell) first() *record.Reading { return c.readings[0] }

// row is what screening sees of a capture.
type row struct {
	capture  *record.Capture
	taxon    string
	stage    string
	sex      string
	cells    []cell // by name of measurement
	measured bool   // it had cells before any was found wrong
}

func (r *row) find(measurement string) *cell {
	i, ok := slices.BinarySearchFunc(r.cells, measurement, func(c cell, m string) int { return cmp.Compare(c.measurement, m) })
	if !ok {
		return nil
	}
	return &r.cells[i]
}

// rowOf takes the lengths and masses of a capture. The mass of animal and bag
// together stands in where the mass of the animal is not known.
func rowOf(c *record.Capture) *row {
	r := &row{capture: c, taxon: c.Get("scientificName"), stage: strings.ToLower(c.Get("lifeStage")), sex: strings.ToLower(c.Get("sex"))}
	net := c.Reading(bodyMass) != nil
	for i := range c.Readings {
		reading := &c.Readings[i]
		kind := dimensions[reading.Unit]
		if !reading.Usable() || kind == neither || !(reading.Number > 0) || math.IsInf(reading.Number, 0) ||
			reading.Measurement == bagMass || (reading.Measurement == grossMass && net) {
			continue
		}
		at, ok := slices.BinarySearchFunc(r.cells, reading.Measurement, func(c cell, m string) int { return cmp.Compare(c.measurement, m) })
		if !ok {
			r.cells = slices.Insert(r.cells, at, cell{measurement: reading.Measurement, kind: kind})
		}
		r.cells[at].readings = append(r.cells[at].readings, reading)
	}
	for i := range r.cells {
		r.cells[i].settle()
	}
	r.measured = len(r.cells) > 0
	return r
}

// settle computes the middle value and its resolution.
func (c *cell) settle() {
	slices.SortStableFunc(c.readings, func(a, b *record.Reading) int {
		return cmp.Or(cmp.Compare(a.Replicate, b.Replicate), a.From.Compare(b.From))
	})
	values := make([]float64, len(c.readings))
	var u float64
	for i, r := range c.readings {
		values[i] = r.Number
		u = max(u, readable(r))
	}
	slices.Sort(values)
	n := len(values)
	c.value = (values[(n-1)/2] + values[n/2]) / 2
	c.set(c.value, u)
}

func (c *cell) set(value, u float64) {
	c.value, c.log = value, math.Log(value)
	c.resolution = u / value
}

// readable is the standard uncertainty of a reading in its unit: half its
// expanded uncertainty where that is known, and at least that of a rectangular
// distribution as wide as its last digit.
func readable(r *record.Reading) float64 {
	return max(math.Pow10(-r.Decimals)/math.Sqrt(12), r.Accuracy/2)
}
