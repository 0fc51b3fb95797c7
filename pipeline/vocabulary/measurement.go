package vocabulary

import (
	"fmt"
	"slices"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
)

// Measurement is one character that is measured. Minimum and Maximum, in Unit,
// span what a small vertebrate may have; they serve the draft of a mapping and
// judge no value.
type Measurement struct {
	Name          string  `csv:"name"` // lowerCamelCase, as a mapping names it
	Label         string  `csv:"label"`
	Abbreviations Words   `csv:"abbreviations"`
	Ambiguous     Words   `csv:"ambiguous"` // abbreviations that teams also use for something else
	Dimension     string  `csv:"dimension"` // length, mass, temperature, count, ratio, time, …
	Unit          string  `csv:"unit"`      // UCUM code
	Instrument    string  `csv:"instrument"`
	Minimum       float64 `csv:"minimum"`
	Maximum       float64 `csv:"maximum"`
	Scope         string  `csv:"scope"` // the group of animals it is measured on, or any
	Of            string  `csv:"of"`    // what is measured: place, eggs, behaviour, loss; "" for the body of the animal
	Definition    string  `csv:"definition"`
	IRI           string  `csv:"iri"` // of the trait in a published vocabulary; "" where none is certain
}

// notOfBody are the names of measurements of something else than the body.
var notOfBody = sync.OnceValue(func() map[string]bool {
	out := map[string]bool{}
	for _, m := range measurements().all {
		if m.Of != "" {
			out[m.Name] = true
		}
	}
	return out
})

// OfBody reports whether a measurement of this name is taken on the animal's
// body, as every measurement of a team's own is taken to.
func OfBody(name string) bool { return !notOfBody()[name] }

// Least is the smallest plausible value of a measurement of this name. It is not
// known of what is not measured on the body, nor of measurements of a team's own.
func Least(name string) (least float64, known bool) {
	if m := named(name); m != nil && OfBody(name) {
		return m.Minimum, true
	}
	return 0, false
}

type measurementIndex struct {
	all    []Measurement
	byWord map[string][]int // folded name, label or abbreviation to places in all
}

var measurements = sync.OnceValue(func() *measurementIndex {
	return schemas.Must(indexMeasurements(schemas.Must(mappings.Table[Measurement]("measurements.csv"))))
})

func indexMeasurements(rows []Measurement) (*measurementIndex, error) {
	x := &measurementIndex{all: rows, byWord: map[string][]int{}}
	for i, m := range rows {
		for _, word := range append([]string{m.Name, m.Label}, m.Abbreviations...) {
			if at := x.byWord[Fold(word)]; !slices.Contains(at, i) {
				x.byWord[Fold(word)] = append(at, i)
			}
		}
	}
	for i, m := range rows {
		for _, word := range m.Ambiguous {
			if !slices.Contains(x.byWord[Fold(word)], i) {
				return nil, fmt.Errorf("measurements.csv: %s: %q is marked ambiguous and is not among the abbreviations", m.Name, word)
			}
		}
		if len(x.byWord[Fold(m.Name)]) > 1 {
			return nil, fmt.Errorf("measurements.csv: the name %s stands for two measurements", m.Name)
		}
	}
	return x, nil
}

// Measurements returns every known measurement, in the order of the file. The
// caller may change the slice, not what its fields point at.
func Measurements() []Measurement { return slices.Clone(measurements().all) }

// MeasurementIRI returns the address that stands for a measurement by its name, or
// "" where none is certain.
func MeasurementIRI(name string) string {
	if m := named(name); m != nil {
		return m.IRI
	}
	return ""
}

// named is the measurement of a name, nil where there is none.
func named(name string) *Measurement {
	x := measurements()
	for _, i := range x.byWord[Fold(name)] {
		if x.all[i].Name == name {
			return &x.all[i]
		}
	}
	return nil
}

// FindMeasurement looks a measurement up by name, label or abbreviation. An
// abbreviation that teams use for several things (TL: tibia, tail or total
// length) finds nothing; [MeasurementsCalled] gives all that it may be.
func FindMeasurement(text string) (Measurement, bool) {
	all := MeasurementsCalled(text)
	if len(all) != 1 {
		return Measurement{}, false
	}
	if slices.ContainsFunc(all[0].Ambiguous, func(word string) bool { return Fold(word) == Fold(text) }) {
		return Measurement{}, false
	}
	return all[0], true
}

// MeasurementsCalled returns every measurement that goes by the name, label or
// abbreviation, in the order of the file.
func MeasurementsCalled(text string) []Measurement {
	x := measurements()
	var found []Measurement
	for _, i := range x.byWord[Fold(text)] {
		found = append(found, x.all[i])
	}
	return found
}
