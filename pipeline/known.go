package pipeline

import (
	"slices"
	"strings"
	"sync"

	"spadefoot/pipeline/config"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/vocabulary"
)

// lists are the controlled vocabularies by the term that they belong to.
var lists = sync.OnceValues(func() (map[string]*vocabulary.List, error) {
	out := map[string]*vocabulary.List{}
	for term, name := range map[string]string{
		"sex": "sex", "lifeStage": "life_stage", "basisOfRecord": "basis_of_record",
		"occurrenceStatus": "occurrence_status", "establishmentMeans": "establishment_means",
		"degreeOfEstablishment": "degree_of_establishment", "reproductiveCondition": "reproductive_condition",
		"vitality": "vitality",
	} {
		l, err := vocabulary.Load(name)
		if err != nil {
			return nil, err
		}
		out[term] = l
	}
	return out, nil
})

// measurements are the measurement vocabulary by name, and its names.
var measurements = sync.OnceValues(func() (map[string]vocabulary.Measurement, []string) {
	list, err := vocabulary.Measurements()
	if err != nil {
		return map[string]vocabulary.Measurement{}, nil // embedded; a test reads it whole
	}
	byName := map[string]vocabulary.Measurement{}
	names := make([]string, len(list))
	for i, m := range list {
		byName[m.Name] = m
		names[i] = m.Name
	}
	return byName, names
})

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

// Known is what mappings may speak of.
func Known() mapping.Known {
	return mapping.Known{
		Term: func(name string) (bool, string) {
			if terms.Known(name) {
				return true, ""
			}
			return false, terms.Nearest(name)
		},
		Measurement: func(name string) (bool, string) {
			byName, names := measurements()
			if _, ok := byName[name]; ok {
				return true, ""
			}
			if m, ok := vocabulary.FindMeasurement(name); ok {
				return false, m.Name
			}
			return false, config.Nearest(name, names)
		},
		Unit: func(code string) (bool, string) {
			if quantity.Dimension(code) != "" {
				return true, ""
			}
			near, _ := quantity.FindUnit(code)
			return false, near
		},
		Repeatable: func(term string) bool { return slices.Contains(repeatable, term) },
		UnitOf: func(name string) string {
			byName, _ := measurements()
			return byName[name].Unit
		},
		HeadingParts: quantity.HeadingUnit,
	}
}

// termOrder puts terms into the order of the published table.
func termOrder(names []string) []string {
	rank := func(n string) int {
		if t, ok := terms.Lookup(n); ok {
			return t.Order
		}
		return 1 << 20
	}
	slices.SortFunc(names, func(a, b string) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return names
}

// measurementOrder puts measurements into the order of the vocabulary.
func (w *walk) measurementOrder(names []string) []string {
	all := w.survey.Measures().Names()
	slices.SortFunc(names, func(a, b string) int {
		if d := slices.Index(all, a) - slices.Index(all, b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return names
}
