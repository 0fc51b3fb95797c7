package season

import (
	"encoding/binary"
	"maps"
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
}

// notTaken is written where an animal has no value of a measurement.
const notTaken value = math.MinInt64

// memoryOfColumn is what a column takes beside its values, in values.
const memoryOfColumn = 8

// addAnimal takes the sizes at hand of an animal in, or of so many.
func (g *Gather) addAnimal(by *group, n int) error {
	g.key = appendWords(g.key[:0], by.species, by.sex, by.stage, by.season, by.site)
	a := g.groups[string(g.key)]
	if a == nil {
		a = &animals{group: by.clone()}
		g.groups[string(g.key)] = a
		g.held += memoryOfColumn
	}
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
	if g.held += len(a.values) - held; g.held < maxHeld<<5 {
		return nil
	}
	return g.putAnimals()
}

// addRow adds a row without values.
func (a *animals) addRow() {
	for range a.columns {
		a.values = append(a.values, notTaken)
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
func (g *Gather) named(s *size) string {
	name, known := g.names[s.measurement]
	if !known {
		name = strings.Clone(s.measurement)
		g.names[name], g.units[name] = name, strings.Clone(s.unit)
	}
	return name
}

// valueOf returns the value of a size, and takes note of what is left out.
func (g *Gather) valueOf(s *size) value {
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

// putAnimals puts away the groups that are in memory, in their order, which is half
// of sorting them.
func (g *Gather) putAnimals() error {
	groups := slices.Sorted(maps.Keys(g.groups))
	for _, group := range groups {
		by := g.groups[group].group
		g.key = appendWords(g.key[:0], by.species, by.stage, by.season, by.site, by.sex)
		if err := g.animals.add(g.key, g.groups[group].n); err != nil {
			return err
		}
	}
	for _, measurement := range slices.Sorted(maps.Keys(g.names)) {
		g.key = appendWords(g.key[:0], measurement)
		for _, group := range groups {
			a := g.groups[group]
			if at := slices.Index(a.columns, measurement); at >= 0 {
				if err := g.sizes.Add(string(g.key)+group, g.packed(a, at)); err != nil {
					return err
				}
			}
		}
	}
	clear(g.groups)
	g.held = 0
	return nil
}

// packed writes the values of a column down in their order, each once as what it is
// more than the one before, with the number of times that it came.
func (g *Gather) packed(a *animals, column int) string {
	values, b := g.column[:0], []byte(nil)
	for i := column; i < len(a.values); i += len(a.columns) {
		if a.values[i] != notTaken {
			values = append(values, a.values[i])
		}
	}
	slices.Sort(values)
	last := value(0)
	for i := 0; i < len(values); {
		v, from := values[i], i
		for i < len(values) && values[i] == v {
			i++
		}
		b = binary.AppendVarint(b, int64(v-last))
		b = binary.AppendUvarint(b, uint64(i-from))
		last = v
	}
	g.column = values
	return string(b)
}

// unpack adds the values that were written down to a spread.
func (s *spread) unpack(text string) {
	b, last := []byte(text), value(0)
	for len(b) > 0 {
		more, n := binary.Varint(b)
		times, m := binary.Uvarint(b[n:])
		last += value(more)
		s.put(last, int(times))
		b = b[n+m:]
	}
}
