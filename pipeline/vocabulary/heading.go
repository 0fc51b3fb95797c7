package vocabulary

import (
	"slices"
	"sync"

	"spadefoot/mappings"
	"spadefoot/schemas"
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
var Headings = sync.OnceValue(func() []Heading {
	all := schemas.Must(mappings.Table[Heading]("headings.csv"))
	for _, m := range measurements().all {
		for _, word := range append([]string{m.Name, m.Label}, m.Abbreviations...) {
			weight := 1.0
			if _, sure := FindMeasurement(word); !sure || len([]rune(Fold(word))) == 1 {
				weight = ambiguousWeight
			}
			all = append(all, Heading{Heading: word, Role: HeadingMeasurement, Value: m.Name, Weight: weight})
		}
	}
	return all
})

// headed returns the measurements by folded heading, those of hardly any other
// meaning only.
var headed = sync.OnceValue(func() map[string][]string {
	out := map[string][]string{}
	for _, h := range Headings() {
		k := Fold(h.Heading)
		if h.Role == HeadingMeasurement && h.Weight == 1 && !slices.Contains(out[k], h.Value) {
			out[k] = append(out[k], h.Value)
		}
	}
	return out
})

// namedMeasurement looks a measurement up as [FindMeasurement] does, and by the
// words that usually are over its column, in any of the languages: "Tibia",
// "Kopfbreite". Words that stand for several measurements find nothing.
func namedMeasurement(text string) (Measurement, bool) {
	if m, ok := FindMeasurement(text); ok {
		return m, true
	}
	if names := headed()[Fold(text)]; len(names) == 1 && len(MeasurementsCalled(text)) == 0 {
		return FindMeasurement(names[0])
	}
	return Measurement{}, false
}
