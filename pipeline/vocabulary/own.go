package vocabulary

import (
	"cmp"
	"slices"
	"strings"

	"spadefoot/pipeline/record/sorting"
)

// Measures is the vocabulary of measurements with those of a team's own.
type Measures struct {
	own    []Measurement
	byName map[string]Measurement
	names  []string
}

// WithOwn returns the vocabulary with further measurements, which come after the
// others and whose names no other may have.
func WithOwn(own []Measurement) *Measures {
	v := &Measures{own: own, byName: map[string]Measurement{}}
	for _, m := range append(Measurements(), own...) {
		v.byName[m.Name] = m
		v.names = append(v.names, m.Name)
	}
	return v
}

// Get returns the measurement of a name; the zero measurement where there is
// none.
func (v *Measures) Get(name string) Measurement { return v.byName[name] }

// Names are the names of all measurements in their order.
func (v *Measures) Names() []string { return v.names }

// Has reports whether a measurement has the name.
func (v *Measures) Has(name string) bool { _, ok := v.byName[name]; return ok }

// Own returns the team's own measurements.
func (v *Measures) Own() []Measurement { return slices.Clone(v.own) }

// Find looks a measurement up as [FindMeasurement] does, the team's own first.
func (v *Measures) Find(text string) (Measurement, bool) {
	if m, ok := v.findOwn(text); ok {
		return m, true
	}
	return FindMeasurement(text)
}

// Named looks a measurement up by the words that usually are over its column as well,
// the team's own first.
func (v *Measures) Named(text string) (Measurement, bool) {
	if m, ok := v.findOwn(text); ok {
		return m, true
	}
	return namedMeasurement(text)
}

func (v *Measures) findOwn(text string) (Measurement, bool) {
	key := Fold(text)
	for _, m := range v.own {
		if Fold(m.Name) == key || Fold(m.Label) == key {
			return m, true
		}
	}
	return Measurement{}, false
}

// Sort puts names of measurements into the order of the vocabulary.
func (v *Measures) Sort(names []string) []string {
	all := v.names
	sorting.Func(names, func(a, b string) int {
		return cmp.Or(slices.Index(all, a)-slices.Index(all, b), strings.Compare(a, b))
	})
	return names
}
