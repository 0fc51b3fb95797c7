// Package known holds what mappings may name: terms, measurements and units.
package known

import (
	"slices"
	"sync"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/vocabulary"
)

// measures is the vocabulary of measurements.
var measures = sync.OnceValue(func() *vocabulary.Measures { return vocabulary.WithOwn(nil) })

// repeatable are terms for lists and for free text: several columns may fill
// them, joined by " | " in the order of the columns. Lists are the terms whose
// published definition begins "A list (concatenated and separated)" (Darwin Core
// term list of 2026-08-15); which terms are free text is common practice.
var repeatable = []string{
	"associatedMedia", "associatedOccurrences", "associatedOrganisms", "associatedReferences",
	"associatedSequences", "associatedTaxa", "behavior", "eventRemarks", "fieldNotes", "fundingAttributionID",
	"georeferenceRemarks", "georeferenceSources", "georeferencedBy", "habitat", "higherClassification",
	"higherGeography", "identificationReferences", "identificationRemarks", "identifiedBy", "identifiedByID",
	"locality", "locationRemarks", "materialEntityRemarks", "occurrenceRemarks", "organismRemarks",
	"otherCatalogNumbers", "preparations", "previousIdentifications", "projectID", "projectTitle", "recordedBy",
	"recordedByID", "reproductiveCondition", "samplingEffort", "samplingProtocol", "taxonRemarks", "typeStatus", "verbatimLabel",
	"verbatimLocality",
}

// Clues are what the draft of any mapping knows beside a sheet.
func Clues() mapping.Clues {
	return mapping.Clues{Repeatable: Words().Repeatable, Named: terms.Named}
}

// Words is what mappings may speak of.
func Words() mapping.Known {
	return mapping.Known{
		Term: func(name string) (bool, string) {
			if terms.Known(name) {
				return true, ""
			}
			return false, terms.Nearest(name)
		},
		Measurement: func(name string) (bool, string) {
			if measures().Has(name) {
				return true, ""
			}
			if m, ok := vocabulary.FindMeasurement(name); ok {
				return false, m.Name
			}
			return false, config.Nearest(name, measures().Names())
		},
		Unit: func(code string) (bool, string) {
			if quantity.Dimension(code) != "" {
				return true, ""
			}
			near, _ := quantity.FindUnit(code)
			return false, near
		},
		Repeatable:   func(term string) bool { return slices.Contains(repeatable, term) },
		UnitOf:       func(name string) string { return measures().Get(name).Unit },
		HeadingParts: quantity.HeadingUnit,
	}
}
