package mapping

import (
	"slices"

	"spadefoot/pipeline/vocabulary"
)

// NamePlaces reports whether several tabs have names of places each: a word of it is
// over columns of places.
func NamePlaces(tabs []string) bool {
	know, err := draftKnowledge()
	return err == nil && len(tabs) > 1 && !slices.ContainsFunc(tabs, func(tab string) bool {
		return !slices.ContainsFunc(know.read(tab).words, func(w string) bool {
			return slices.ContainsFunc(know.headings[w], func(h vocabulary.Heading) bool {
				return h.Role == vocabulary.HeadingTerm && (h.Value == "locality" || h.Value == "waterBody") && h.Weight >= 0.7
			})
		})
	})
}

// NameSpecies reports whether all tabs have scientific names, one of them with a genus
// that is known here.
func NameSpecies(tabs []string) bool {
	know, err := draftKnowledge()
	return err == nil && slices.ContainsFunc(tabs, know.ofKnownGenus) && !slices.ContainsFunc(tabs, func(tab string) bool { return !namesAnimal(tab) })
}
