package season

import (
	"encoding/binary"
	"math"
	"slices"
	"strings"
)

// animals are those of one group that are in memory: a row of values for each, in
// the columns of their measurements.
type animals struct {
	group   group
	n       int
	columns []string // measurements
	values  []value  // row by row
	caught  *caught  // of the species at the site, as last found
}

// notTaken is written where an animal has no value of a measurement.
const notTaken value = math.MinInt64

// maxHeld bounds what is in memory, in values, before it is put away; a variable
// for tests.
var maxHeld = 1 << 20

// memoryOfColumn is what a column takes beside its values, in values.
const memoryOfColumn = 8

// groupIn returns the animals of a group that are in memory.
func (g *Gatherer) groupIn(by *group) *animals {
	g.key = appendWords(g.key[:0], by.species, by.sex, by.stage, by.season, by.site)
	a := g.groups[string(g.key)]
	if a == nil {
		a = &animals{group: by.clone()}
		g.groups[string(g.key)] = a
		g.held += memoryOfColumn
	}
	return a
}

// addAnimal takes the sizes at hand of an animal of a group in, or of so many.
func (g *Gatherer) addAnimal(a *animals, n int) {
	a.n += n
	held := len(a.values)
	a.addRow()
	for i := range g.one {
		s := &g.one[i]
		at := a.column(i, s.measurement)
		if at < 0 {
			at = a.addColumn(g.named(s))
			g.held += memoryOfColumn
		}
		a.values[len(a.values)-len(a.columns)+at] = g.valueOf(s)
	}
	g.held += len(a.values) - held
}

// addRow adds a row without values.
func (a *animals) addRow() {
	from := len(a.values)
	a.values = slices.Grow(a.values, len(a.columns))[:from+len(a.columns)]
	for i := range a.columns {
		a.values[from+i] = notTaken
	}
}

// column returns the column of a measurement, most likely the place that it has among
// those of its animal; -1 for none.
func (a *animals) column(near int, measurement string) int {
	if near < len(a.columns) && a.columns[near] == measurement {
		return near
	}
	return slices.Index(a.columns, measurement)
}

// addColumn adds a column to the row that was added last and to those before it.
func (a *animals) addColumn(measurement string) int {
	old, width := a.values, len(a.columns)
	a.columns, a.values = append(a.columns, measurement), nil
	if width == 0 {
		a.addRow() // those before have no values
	}
	for ; len(old) > 0; old = old[width:] {
		a.values = append(append(a.values, old[:width]...), notTaken)
	}
	return width
}

// named returns the name of the measurement of a size, and takes note of its unit.
func (g *Gatherer) named(s *size) string {
	n, known := g.numbers[s.measurement]
	if !known {
		name := strings.Clone(s.measurement)
		n = len(g.names)
		g.names, g.numbers[name], g.units[name] = append(g.names, name), n, strings.Clone(s.unit)
	}
	return g.names[n]
}

// valueOf returns the value of a size, and takes note of what is left out.
func (g *Gatherer) valueOf(s *size) value {
	if s.rule != "" {
		g.left[omitted{strings.Clone(s.measurement), strings.Clone(s.rule)}]++
	}
	if s.n == 0 {
		return leftOut
	}
	v, fits := valueOf(s.mean())
	if !fits {
		g.left[omitted{strings.Clone(s.measurement), "too large a number"}]++
		return leftOut
	}
	return v
}

// putMany puts away what is in memory, if it is much.
func (g *Gatherer) putMany() error {
	if g.held < maxHeld {
		return nil
	}
	return g.put()
}

// put puts away what is in memory. The memory of groups that had something is used
// again, unless there are many.
func (g *Gatherer) put() error {
	g.held = 0
	for key, a := range g.groups {
		if a.n == 0 {
			delete(g.groups, key)
			continue
		}
		if err := g.animals.Add(key, g.packed(a)); err != nil {
			return err
		}
		a.n, a.values, a.caught = 0, a.values[:0], nil
		g.held += memoryOfColumn * (1 + len(a.columns))
	}
	for key, c := range g.caught {
		if len(c.nights) == 0 {
			delete(g.caught, key)
			continue
		}
		g.pack = appendValues(g.pack[:0], inOrder(c.nights))
		if err := g.nights.Add(key, string(g.pack)); err != nil {
			return err
		}
		c.nights = c.nights[:0]
		g.held += memoryOfColumn
	}
	if g.held > maxHeld/2 {
		clear(g.groups)
		clear(g.caught)
		g.held = 0
	}
	return nil
}

// packed are the number of animals, and of each column the number of its measurement
// and the values.
func (g *Gatherer) packed(a *animals) string {
	b := binary.AppendUvarint(g.pack[:0], uint64(a.n))
	for column, measurement := range a.columns {
		g.column = g.column[:0]
		for i := column; i < len(a.values); i += len(a.columns) {
			if v := a.values[i]; v != notTaken {
				g.column = append(g.column, v)
			}
		}
		if len(g.column) == 0 {
			continue
		}
		b = binary.AppendUvarint(b, uint64(g.numbers[measurement]))
		g.counts = appendCounts(g.counts[:0], g.column)
		b = appendValues(b, g.counts)
	}
	g.pack = b
	return string(b)
}
