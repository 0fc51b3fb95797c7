package draft

import (
	"slices"

	"spadefoot/pipeline/mapping"
	"spadefoot/pipeline/record"
)

// placeTerms are those that say where captures were made; the number of a trap
// (locationID) says no more than where in a place.
var placeTerms = []string{"locality", "verbatimLocality", "waterBody", "island"}

// namePlaces takes the names of tabs for places where several tabs have one form,
// each is named as a place ("Pond A", "Creek"), and nothing in them says where.
func (d *drafting) namePlaces() {
	for _, f := range d.forms {
		if f.draft == nil || slices.ContainsFunc(f.draft.Guesses, func(g mapping.ColumnGuess) bool {
			return g.Meaning.Role == record.Term && slices.Contains(placeTerms, g.Meaning.Term)
		}) {
			continue
		}
		var tabs []*entry
		named := true
		for i := range d.refs {
			if r := &d.refs[i]; r.form == f {
				tabs = append(tabs, r)
				named = named && mapping.NamesPlace(r.sheet.Name)
			}
		}
		for _, r := range tabs {
			if named && len(tabs) > 1 {
				r.place = r.sheet.Name
			}
		}
	}
}
