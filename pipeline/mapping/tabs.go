package mapping

import (
	"slices"

	"spadefoot/pipeline/vocabulary"
)

// NamePlaces reports whether several tabs are each named as a place.
func NamePlaces(tabs []string) bool {
	know := draftKnowledge()
	return len(tabs) > 1 && !slices.ContainsFunc(tabs, func(tab string) bool { return !know.namesPlace(tab) })
}

// namesPlace reports whether a word of a text is over columns of places: "Pond A".
func (k *knowledge) namesPlace(text string) bool {
	return slices.ContainsFunc(k.read(text).words, func(w string) bool {
		return slices.ContainsFunc(k.headings[w], func(h vocabulary.Heading) bool {
			return h.Role == vocabulary.HeadingTerm && (h.Value == "locality" || h.Value == "waterBody") && h.Weight >= 0.7
		})
	})
}

// NameSpecies reports whether all tabs have scientific names, one of them with a genus
// that is known here.
func NameSpecies(tabs []string) bool {
	return slices.ContainsFunc(tabs, draftKnowledge().ofKnownGenus) && !slices.ContainsFunc(tabs, func(tab string) bool { return !namesAnimal(tab) })
}
