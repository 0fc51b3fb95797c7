package vocabulary

import (
	"slices"
	"sync"

	"spadefoot/mappings"
)

// Roles of a heading, as mappings/headings.csv names them.
const (
	HeadingTerm        = "term"        // Value is a Darwin Core term
	HeadingMeasurement = "measurement" // Value is the name of a measurement
	HeadingWeighing    = "weighing"    // Value is a part of a weighing
	HeadingAside       = "aside"       // Value says why the column is set aside
	HeadingLong        = "long"        // Value is name, value or unit: a sheet with one row per measurement
)

// Heading is one thing that the words over a column may mean.
type Heading struct {
	Heading  string  `csv:"heading"`
	Role     string  `csv:"role"`
	Value    string  `csv:"value"`
	Language string  `csv:"language"` // ISO 639-1; empty for an abbreviation of the trade
	Weight   float64 `csv:"weight"`   // 1: hardly anything else; less: one meaning among several
}

// ambiguousWeight is what an abbreviation weighs that is a single letter or
// stands for several measurements: it needs support from the values of the
// column.
const ambiguousWeight = 0.6

// Headings returns every known meaning of a heading: the rows of headings.csv,
// then the names, labels and abbreviations of the measurements.
var Headings = sync.OnceValues(func() ([]Heading, error) {
	all, err := mappings.Table[Heading]("headings.csv")
	if err != nil {
		return nil, err
	}
	ms, err := Measurements()
	if err != nil {
		return nil, err
	}
	for _, m := range ms {
		for _, word := range append([]string{m.Name, m.Label}, m.Abbreviations...) {
			weight := 1.0
			if _, sure := FindMeasurement(word); !sure || len([]rune(Fold(word))) == 1 {
				weight = ambiguousWeight
			}
			all = append(all, Heading{Heading: word, Role: HeadingMeasurement, Value: m.Name, Weight: weight})
		}
	}
	return all, nil
})

// headed returns the measurements by folded heading, those of hardly any other
// meaning only.
var headed = sync.OnceValues(func() (map[string][]string, error) {
	all, err := Headings()
	if err != nil {
		return nil, err
	}
	out := map[string][]string{}
	for _, h := range all {
		k := Fold(h.Heading)
		if h.Role == HeadingMeasurement && h.Weight == 1 && !slices.Contains(out[k], h.Value) {
			out[k] = append(out[k], h.Value)
		}
	}
	return out, nil
})

// NamedMeasurement looks a measurement up as [FindMeasurement] does, and by the
// words that usually are over its column, in any of the languages: "Tibia",
// "Kopfbreite". Words that stand for several measurements find nothing.
func NamedMeasurement(text string) (Measurement, bool) {
	if m, ok := FindMeasurement(text); ok {
		return m, true
	}
	byHeading, err := headed()
	if err != nil || len(MeasurementsCalled(text)) > 0 {
		return Measurement{}, false
	}
	if names := byHeading[Fold(text)]; len(names) == 1 {
		return FindMeasurement(names[0])
	}
	return Measurement{}, false
}
