package draft

import (
	"slices"

	"spadefoot/pipeline/mapping"
)

// tabNames are what the names of tabs may be, and the terms of columns that say it
// already. The number of a trap (locationID) says no more than where in a place.
var tabNames = []tabName{
	{"scientificName", mapping.NameSpecies, []string{"scientificName", "vernacularName", "verbatimIdentification", "taxonID", "genus", "specificEpithet"},
		"its rows name no species, and the name of the tab names this one"},
	{"locality", mapping.NamePlaces, []string{"locality", "verbatimLocality", "waterBody", "island"},
		"its rows name no place, and the name of the tab names this one"},
}

type tabName struct {
	term  string
	are   func(tabs []string) bool
	terms []string
	why   string
}

// nameTabs takes the names of the tabs of a form for the species or the places of their
// captures, where nothing in the tabs says them.
func (d *drafting) nameTabs() {
	for _, f := range d.forms {
		var tabs []string
		for _, r := range d.entriesOf(f) {
			tabs = append(tabs, r.sheet.Name)
		}
		for k := range tabNames {
			if f.draft == nil || !tabNames[k].are(tabs) || f.draft.Has(tabNames[k].terms...) {
				continue
			}
			for _, r := range d.entriesOf(f) {
				r.tab = &tabNames[k]
				r.texts[r.tab.term] = slices.Repeat([]string{r.sheet.Name}, r.rows())
			}
			break
		}
	}
}
