package darwincore

import (
	"maps"
	"slices"

	"spadefoot/pipeline/darwincore/tables"
)

// common learns what rows agree on: for each term the text of the first row,
// and whether every other row has the same. A row without the term differs
// from one that has it.
type common struct {
	rows int
	text map[string]string
	same map[string]bool
}

func (c *common) see(row Row) {
	if c.text == nil {
		c.text, c.same = map[string]string{}, map[string]bool{}
	}
	for _, f := range row {
		old, known := c.text[f.Term]
		switch {
		case !known:
			c.text[f.Term], c.same[f.Term] = f.Text, c.rows == 0
		case old != f.Text:
			c.same[f.Term] = false
		}
	}
	for term := range c.text {
		if c.same[term] && row.Get(term) == "" {
			c.same[term] = false
		}
	}
	c.rows++
}

// belong are terms that make one statement together: where they are not all
// agreed on, none of them is.
var belong = [][]string{
	{"decimalLatitude", "decimalLongitude", "geodeticDatum", "coordinateUncertaintyInMeters", "coordinatePrecision",
		"verbatimLatitude", "verbatimLongitude", "verbatimCoordinates", "verbatimCoordinateSystem", "verbatimSRS"},
	{"minimumElevationInMeters", "maximumElevationInMeters", "verticalDatum", "verbatimElevation"},
	{"minimumDepthInMeters", "maximumDepthInMeters", "verbatimDepth"},
	{"eventDate", "verbatimEventDate", "year", "month", "day", "startDayOfYear", "endDayOfYear"},
}

// agreed reports whether every row has the term with the same text, and also
// the terms that belong to it.
func (c *common) agreed(term string) bool {
	if !c.same[term] {
		return false
	}
	for _, group := range belong {
		if slices.Contains(group, term) && slices.ContainsFunc(group, func(t string) bool { return c.text[t] != "" && !c.same[t] }) {
			return false
		}
	}
	return true
}

// renamed are terms that the tables of a package have under another name.
var renamed = map[string]map[string]string{
	"event":      {"samplingEffort": "eventEffort"},
	"occurrence": {"associatedReferences": "occurrenceReferences"},
	"material":   {"materialSampleID": "materialEntityID"},
}

// fieldOf returns the field of a table that a term goes into, or "".
func fieldOf(table, term string) string {
	if f, ok := renamed[table][term]; ok {
		return f
	}
	if tables.Find(table).Field(term) != nil {
		return term
	}
	return ""
}

// ofEvent reports whether a term says something of the event rather than of
// the animal.
func ofEvent(term string) bool {
	switch term {
	case "eventID", "parentEventID", "informationWithheld", "dataGeneralizations", "feedbackURL", "datasetName", "datasetID":
		return false
	}
	return fieldOf("event", term) != ""
}

// surveyEvent writes the event that all sessions lie in, and assertions of
// terms that every capture agrees on and that no table has a field for.
func (p *Package) surveyEvent() {
	id := EventID(p.dataset.ID, "")
	fields := []Field{{"eventID", id}, {"preferredEventName", p.dataset.Title}, {"eventCategory", "survey"},
		{"datasetID", p.dataset.ID}, {"datasetName", p.dataset.Title}}
	if span := p.coverage.span(); span != "" {
		fields = append(fields, Field{"eventDate", span})
	}
	p.put("event", fields...)
	for _, term := range slices.Sorted(maps.Keys(p.survey.text)) {
		if f := (Field{term, p.survey.text[term]}); p.survey.agreed(term) && unplaced(f) {
			p.assert("event", id, f)
		}
	}
}

// events writes the events of a row that are not there yet and returns the
// identifier of the one that the occurrence belongs to.
func (p *Package) events(row Row) string {
	id, parent := row.Get("eventID"), row.Get("parentEventID")
	survey := EventID(p.dataset.ID, "")
	if parent != survey && p.sessions[parent] == nil && p.once("event", parent) {
		p.put("event", Field{"eventID", parent}, Field{"parentEventID", survey})
	}
	session := p.sessions[id]
	if p.once("event", id) {
		fields := []Field{{"eventID", id}, {"parentEventID", parent}, {"datasetID", p.dataset.ID}, {"datasetName", p.dataset.Title}}
		if id == parent {
			fields[1].Text = survey
		}
		p.event(id, fields, row, session.agreed)
	}
	if !slices.ContainsFunc(row, func(f Field) bool { return ofEvent(f.Term) && !session.agreed(f.Term) }) {
		return id
	}
	own := EventID(p.dataset.ID, "capture\x1f"+row.Get("occurrenceID"))
	if p.once("event", own) {
		fields := []Field{{"eventID", own}, {"parentEventID", id}, {"eventCategory", "occurrence"}, {"eventDate", row.Get("eventDate")},
			{"datasetID", p.dataset.ID}, {"datasetName", p.dataset.Title}}
		p.event(own, fields, row, func(term string) bool { return !session.agreed(term) })
	}
	return own
}

// event writes one event with the terms of a row that belong to it. A text
// that does not fit its field becomes an assertion.
func (p *Package) event(id string, fields []Field, row Row, belongs func(term string) bool) {
	for _, f := range row {
		if ofEvent(f.Term) && belongs(f.Term) {
			fields = append(fields, Field{fieldOf("event", f.Term), f.Text})
		}
	}
	p.assert("event", id, p.put("event", fields...)...)
	if text := row.Get("samplingProtocol"); text != "" && belongs("samplingProtocol") {
		p.put("event-protocol", Field{"eventID", id}, Field{"protocolID", p.protocol("sampling effort", text)})
	}
}
