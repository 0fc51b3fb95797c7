package darwincore

import "slices"

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
	for _, f := range p.first {
		if f := (placedField{f, p.places.of(f.Term)}); p.agreed.on(f.number) && f.unplaced() {
			p.assert("event", id, f.Field)
		}
	}
}

// events writes the events of a row that are not there yet and returns the
// identifier of the one that the occurrence belongs to.
func (p *Package) events(row placedRow) string {
	id, parent := row.Get("eventID"), row.Get("parentEventID")
	survey := EventID(p.dataset.ID, "")
	if parent != survey && p.sessions[parent] == nil && p.once("event", parent) {
		p.put("event", Field{"eventID", parent}, Field{"parentEventID", survey})
	}
	shared := p.sessions[id].shared
	if p.once("event", id) {
		fields := []Field{{"eventID", id}, {"parentEventID", parent}, {"datasetID", p.dataset.ID}, {"datasetName", p.dataset.Title}}
		if id == parent {
			fields[1].Text = survey
		}
		p.event(id, fields, row, func(f placedField) bool { return shared.on(f.eventNumber) })
	}
	if !slices.ContainsFunc(row, func(f placedField) bool { return f.eventNumber >= 0 && !shared.on(f.eventNumber) }) {
		return id
	}
	own := EventID(p.dataset.ID, "capture\x1f"+row.Get("occurrenceID"))
	if p.once("event", own) {
		fields := []Field{{"eventID", own}, {"parentEventID", id}, {"eventCategory", "occurrence"}, {"eventDate", row.Get("eventDate")},
			{"datasetID", p.dataset.ID}, {"datasetName", p.dataset.Title}}
		p.event(own, fields, row, func(f placedField) bool { return !shared.on(f.eventNumber) })
	}
	return own
}

// event writes one event with the terms of a row that belong to it. A text
// that does not fit its field becomes an assertion.
func (p *Package) event(id string, fields []Field, row placedRow, belongs func(placedField) bool) {
	protocol := ""
	for _, f := range row {
		if !belongs(f) {
			continue
		}
		if f.ofEvent {
			fields = append(fields, Field{f.fields["event"], f.Text})
		}
		if f.Term == "samplingProtocol" {
			protocol = f.Text
		}
	}
	p.assert("event", id, p.put("event", fields...)...)
	if protocol != "" {
		p.put("event-protocol", Field{"eventID", id}, Field{"protocolID", p.protocol("sampling effort", protocol)})
	}
}
