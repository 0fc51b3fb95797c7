package infer

import (
	"math"
	"slices"
	"strings"
	"sync"
)

// features are the measurements of one animal that its shape is made of, each
// once: the natural log of each length, of each mass a third of it.
type features []feature

type feature struct {
	name string
	log  float64
}

func (f features) of(name string) (float64, bool) {
	for i := range f {
		if f[i].name == name {
			return f[i].log, true
		}
	}
	return 0, false
}

func (f features) has(names []string) bool {
	for _, n := range names {
		if _, ok := f.of(n); !ok {
			return false
		}
	}
	return true
}

// shapely is a measurement that may go into a shape, before its log is taken.
type shapely struct {
	name  string
	value float64
	power float64
}

// shapelyOf appends the measurements of an animal that its shape is made of. A
// measurement that the writer doubted is left out; a mass counts by its cube
// root, so that all are lengths.
func (s *Settings) shapelyOf(to []shapely, t *taken) []shapely {
	take := func(name string, m *measured, ok bool) {
		if power := sizePower(m.Unit); ok && !m.Doubtful && power != 0 && m.Value > 0 {
			to = append(to, shapely{name, m.Value, power})
		}
	}
	for i := range t.readings {
		r := &t.readings[i]
		if r.Derived || r.Measurement == s.ConditionMass || sizePower(r.Unit) != 1 || !s.shapely(r.Measurement) ||
			slices.ContainsFunc(to, func(have shapely) bool { return have.name == r.Measurement }) {
			continue
		}
		m, ok := t.measurement(r.Measurement)
		take(r.Measurement, &m, ok)
	}
	if s.shapely(s.ConditionMass) {
		m, ok := t.mass(s.ConditionMass)
		take(s.ConditionMass, &m, ok)
	}
	return to
}

func (s *Settings) shapely(name string) bool {
	return len(s.SpeciesMeasurements) == 0 || slices.Contains(s.SpeciesMeasurements, name)
}

func logsOf(of []shapely) features {
	out := make(features, len(of))
	for i, m := range of {
		out[i] = feature{m.name, math.Log(m.value) / m.power}
	}
	return out
}

// numbering numbers the names of measurements, and holds one copy of each. It
// may be used by many goroutines.
type numbering struct {
	mu    sync.RWMutex
	known map[string]numbered
}

// numbered is a name, of our own, with its number.
type numbered struct {
	name   string
	number int
}

func (n *numbering) of(name string) numbered {
	n.mu.RLock()
	found, ok := n.known[name]
	n.mu.RUnlock()
	if ok {
		return found
	}
	n.mu.Lock()
	defer n.mu.Unlock()
	if found, ok := n.known[name]; ok {
		return found
	}
	if n.known == nil {
		n.known = map[string]numbered{}
	}
	made := numbered{strings.Clone(name), len(n.known)}
	n.known[made.name] = made
	return made
}

// measuredSet is a set of measurements by number. Those above the 256th are not
// in it: a survey has a few dozen.
type measuredSet [4]uint64

func (m *measuredSet) add(i int) {
	if i < 64*len(m) {
		m[i/64] |= 1 << (i % 64)
	}
}

func (m *measuredSet) holds(i int) bool { return i < 64*len(m) && m[i/64]&(1<<(i%64)) != 0 }

// names are those of its measurements.
func (m *measuredSet) names(n *numbering) (out []string) {
	for name, of := range n.known {
		if m.holds(of.number) {
			out = append(out, name)
		}
	}
	return out
}

// among returns those of the names that are in the set.
func (m *measuredSet) among(names []string, n *numbering) []string {
	var out []string
	for _, name := range names {
		if m.holds(n.of(name).number) {
			out = append(out, name)
		}
	}
	return out
}
