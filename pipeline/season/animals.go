package season

import (
	"encoding/binary"
	"slices"
	"strings"
)

// animals are those of one group that are in memory.
type animals struct {
	group group
	n     int
	sizes []sizes
}

// sizes are the values of one measurement as they came.
type sizes struct {
	measurement string
	values      []value
}

// memoryOfSizes is what sizes take beside their values, in values.
const memoryOfSizes = 8

// addAnimal takes the sizes at hand of an animal in, or of so many.
func (g *Gather) addAnimal(by *group, n int) error {
	g.key = appendWords(g.key[:0], by.species, by.sex, by.stage, by.season, by.site)
	a := g.groups[string(g.key)]
	if a == nil {
		a = &animals{group: by.clone()}
		g.groups[string(g.key)] = a
		g.held += memoryOfSizes
	}
	a.n += n
	for i := range g.one {
		s, to := &g.one[i], g.sizesIn(a, i, &g.one[i])
		to.values = append(to.values, g.valueOf(s))
		g.held++
	}
	if g.held < maxHeld<<5 {
		return nil
	}
	return g.putAnimals()
}

// sizesIn returns where the values of a size go in a group, most likely at the place
// that it has among those of its animal.
func (g *Gather) sizesIn(a *animals, near int, s *size) *sizes {
	if near < len(a.sizes) && a.sizes[near].measurement == s.measurement {
		return &a.sizes[near]
	}
	for i := range a.sizes {
		if a.sizes[i].measurement == s.measurement {
			return &a.sizes[i]
		}
	}
	name := strings.Clone(s.measurement)
	if _, known := g.units[name]; !known {
		g.units[name] = strings.Clone(s.unit)
	}
	g.held += memoryOfSizes
	a.sizes = append(a.sizes, sizes{measurement: name})
	return &a.sizes[len(a.sizes)-1]
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

// putAnimals puts away the groups that are in memory.
func (g *Gather) putAnimals() error {
	for _, a := range g.groups { // of one group all is brought together later, so that the order is nothing
		by := &a.group
		g.key = appendWords(g.key[:0], by.species, by.stage, by.season, by.site, by.sex)
		if err := g.animals.add(g.key, a.n); err != nil {
			return err
		}
		for i := range a.sizes {
			s := &a.sizes[i]
			g.key = appendWords(g.key[:0], s.measurement, by.species, by.sex, by.stage, by.season, by.site)
			if err := g.sizes.Add(string(g.key), packed(s.values)); err != nil {
				return err
			}
		}
	}
	clear(g.groups)
	g.held = 0
	return nil
}

// packed puts values into order and writes them down, each once as what it is
// more than the one before, with the number of times that it came.
func packed(values []value) string {
	slices.Sort(values)
	var b []byte
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
