package records

import (
	"slices"
	"strings"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
)

// occurrence takes a row of a data package on the second walk.
func (w *walk) occurrence(r *prove.Row) error {
	if r.RowType != "occurrence" {
		if w.begun {
			return errEnough
		}
		return nil
	}
	w.begun = true
	id := r.Get("occurrenceID")
	beside := []*row{accepted(w.known["identification"][id])}
	beside = append(beside, w.known["material"][id]...)
	if o := r.Get("organismID"); o != "" {
		beside = append(beside, w.known["organism"][o]...)
	}
	for _, a := range w.known["occurrence-assertion"][id] {
		beside = append(beside, asserted(a))
	}
	return w.give("Occurrence", id, w.shaped(r), beside, r.Get("eventID"))
}

// accepted returns the identification that holds: the first that is said to be
// accepted, or else the first.
func accepted(all []*row) *row {
	if i := slices.IndexFunc(all, func(r *row) bool { return strings.EqualFold(r.get("isAcceptedIdentification"), "true") }); i > 0 {
		return all[i]
	}
	if len(all) == 0 {
		return nil
	}
	return all[0]
}

// asserted reads an assertion as a row that has the term which it names.
func asserted(a *row) *row {
	iri := a.get("assertionTypeIRI")
	term := iri[strings.LastIndexAny(iri, "/#")+1:]
	field := "assertionValue"
	if a.get(field) == "" {
		field = "assertionValueNumeric"
	}
	s := &shape{a.of.file, map[string]int{term: 0}, []int{a.address(field).Column}}
	return &row{s, []string{a.get(field)}, a.line}
}

// renamed are terms that the tables of a data package have under another name.
var renamed = map[string]string{"samplingEffort": "eventEffort", "associatedReferences": "occurrenceReferences"}

// foreign are terms that a row of an event says of the event alone.
var foreign = map[string]bool{
	"id": true, "type": true, "basisOfRecord": true, "modified": true, "references": true, "dynamicProperties": true,
	"eventID": true, "parentEventID": true, "bibliographicCitation": true,
}

// together are terms that make one statement.
var together = [][]string{
	strings.Fields("decimalLatitude decimalLongitude geodeticDatum coordinateUncertaintyInMeters coordinatePrecision verbatimLatitude verbatimLongitude verbatimCoordinates verbatimCoordinateSystem verbatimSRS"),
	strings.Fields("minimumElevationInMeters maximumElevationInMeters verbatimElevation"),
	strings.Fields("minimumDepthInMeters maximumDepthInMeters verbatimDepth"),
	times,
}

var times = strings.Fields("eventDate verbatimEventDate year month day startDayOfYear endDayOfYear")

// joined is a row with those that speak of the same thing, the nearest first.
type joined struct {
	id     string
	own    *row
	beside []*row
	levels []level
}

// level is an event with what is asserted of it.
type level struct {
	rows  []*row
	wider bool // it takes in more than the occurrence: a survey
}

func (w *walk) give(kind, id string, own *row, beside []*row, event string) error {
	j := &joined{id: id, own: own, levels: w.around(event)}
	for _, b := range beside {
		if b != nil {
			j.beside = append(j.beside, b)
		}
	}
	return w.use(&Record{
		Says: func(term string) string { text, _ := j.find(term); return text },
		Kind: kind,
		At:   record.Address{File: own.of.file, Row: own.line},
		Cell: func(term string) record.Address {
			if _, from := j.find(term); from != nil {
				return from.address(written(from, term))
			}
			return own.address(term)
		},
	})
}

// around returns an event and those around it.
func (w *walk) around(id string) []level {
	var out []level
	for seen := map[string]bool{}; id != "" && !seen[id]; {
		seen[id] = true
		rows := w.known[events][id]
		if len(rows) == 0 {
			return out
		}
		l := level{rows: rows[:1:1], wider: strings.EqualFold(rows[0].get("eventCategory"), "survey")}
		for _, a := range w.known["event-assertion"][id] {
			l.rows = append(l.rows, asserted(a))
		}
		out = append(out, l)
		id = rows[0].get("parentEventID")
	}
	return out
}

// find returns the text of a term and the row that it is in.
func (j *joined) find(term string) (string, *row) {
	if term == "id" {
		return j.id, j.own
	}
	if text, from := firstOf(append([]*row{j.own}, j.beside...), term); text != "" {
		return word(term, text), from
	}
	var group []string
	if i := slices.IndexFunc(together, func(g []string) bool { return slices.Contains(g, term) }); i >= 0 {
		group = together[i]
	}
	for i, l := range j.levels {
		rows := l.rows
		if foreign[term] { // but where it is asserted
			rows = rows[1:]
		}
		text, from := firstOf(rows, term)
		if text == "" || l.wider && slices.Contains(times, term) {
			continue
		}
		if !j.contradicts(l, i, group) {
			return text, from
		}
		return "", nil
	}
	return "", nil
}

// contradicts reports whether an event says otherwise in a group of terms than
// what is nearer.
func (j *joined) contradicts(l level, at int, group []string) bool {
	for _, term := range group {
		far, _ := firstOf(l.rows, term)
		if far == "" {
			continue
		}
		near, _ := firstOf(append([]*row{j.own}, j.beside...), term)
		for i := 0; i < at && near == ""; i++ {
			near, _ = firstOf(j.levels[i].rows, term)
		}
		if near != "" && near != far {
			return true
		}
	}
	return false
}

// firstOf returns the first text of a term in some rows.
func firstOf(rows []*row, term string) (string, *row) {
	for _, r := range rows {
		if text := r.get(written(r, term)); text != "" {
			return text, r
		}
	}
	return "", nil
}

// written is the name that a row has for a term.
func written(r *row, term string) string {
	if term == "individualCount" && r.get("organismQuantityType") == "individuals" && r.get(term) == "" {
		return "organismQuantity"
	}
	if _, own := r.of.at[term]; !own && renamed[term] != "" {
		return renamed[term]
	}
	return term
}

// word turns the words for detection that Darwin Core advises since 2026-05-26
// into those that the tests know.
func word(term, text string) string {
	if term == "occurrenceStatus" {
		switch text {
		case "detected":
			return "present"
		case "notDetected":
			return "absent"
		}
	}
	return text
}
