package darwincore

import (
	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
)

// place says where a term goes in the tables of a package.
type place struct {
	fields   map[string]string // by table, the field that it goes into
	handled  bool              // it has a way of its own into the tables
	ofEvent  bool              // it says something of the event rather than of the animal
	material bool              // it is about a piece of the animal that was kept
	leftover bool              // no table that we write has a field for it
	naming   bool              // it says which taxon the animal is of

	number      int // among all terms that came up
	eventNumber int // among those that events are said to have; -1 for others
}

// handled are terms with a way of their own into the tables.
var handled = map[string]bool{
	"occurrenceID": true, "eventID": true, "parentEventID": true, "samplingProtocol": true, "individualCount": true,
	"associatedMedia": true, "datasetID": true, "datasetName": true, "recordedByID": true, "identifiedByID": true,
}

// material are terms that are about a piece of the animal that was kept.
var material = map[string]bool{"materialSampleID": true, "materialEntityID": true, "preparations": true, "disposition": true, "materialEntityRemarks": true, "associatedSequences": true}

// renamed are terms that the tables of a package have under another name.
var renamed = map[string]map[string]string{
	"event":      {"samplingEffort": "eventEffort"},
	"occurrence": {"associatedReferences": "occurrenceReferences"},
	"material":   {"materialSampleID": "materialEntityID"},
}

// filled are the tables that terms of captures go into under their names.
var filled = []string{"event", "occurrence", "organism", "identification", "material"}

// placeOf returns the place of a term.
func placeOf(term string) *place {
	at := &place{fields: map[string]string{}, handled: handled[term], material: material[term]}
	for _, table := range filled {
		if name, ok := renamed[table][term]; ok {
			at.fields[table] = name
		} else if tables.Find(table).Field(term) != nil {
			at.fields[table] = term
		}
	}
	switch term {
	case "eventID", "parentEventID", "informationWithheld", "dataGeneralizations", "feedbackURL", "datasetName", "datasetID":
	default:
		at.ofEvent = at.fields["event"] != ""
	}
	t, known := terms.Lookup(term)
	at.naming = known && (t.Class == "Taxon" || t.Class == "Identification") && at.fields["identification"] != ""
	switch {
	case term == "associatedOrganisms": // it may differ between captures of an organism
		at.leftover = true
	case at.handled, at.ofEvent, at.material:
	default:
		at.leftover = at.fields["occurrence"] == "" && at.fields["organism"] == "" && at.fields["identification"] == ""
	}
	return at
}

// placedField is a field with the place of its term.
type placedField struct {
	Field
	*place
}

// unplaced reports whether the text has no place in the tables but an assertion.
func (f placedField) unplaced() bool {
	return f.leftover && (f.Term != "associatedOccurrences" || readRelations(f.Text) == nil)
}

// placedRow is a row with the places of its terms, in the order of the table of
// terms.
type placedRow []placedField

// Get returns the text of a term, or "".
func (r placedRow) Get(term string) string {
	for i := range r {
		if r[i].Term == term {
			return r[i].Text
		}
	}
	return ""
}

// places remembers the places of terms, and numbers them.
type places struct {
	byTerm map[string]*place
	events int // how many terms events are said to have
}

// nowhere is the place of a term that did not come up.
var nowhere = &place{number: -1, eventNumber: -1}

// known returns the place of a term that came up, or nowhere.
func (p *places) known(term string) *place {
	if at := p.byTerm[term]; at != nil {
		return at
	}
	return nowhere
}

// of returns the place of a term, which has come up then.
func (p *places) of(term string) *place {
	at := p.byTerm[term]
	if at == nil {
		at = placeOf(term)
		if at.number, at.eventNumber = len(p.byTerm), -1; at.ofEvent || term == "samplingProtocol" {
			at.eventNumber = p.events
			p.events++
		}
		p.byTerm[term] = at
	}
	return at
}
