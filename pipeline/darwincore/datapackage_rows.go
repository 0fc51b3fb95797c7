package darwincore

import (
	"regexp"
	"slices"
	"strconv"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
)

// fill makes the rows of all tables from the spilled captures.
func (p *Package) fill() error {
	p.surveyEvent()
	for _, from := range []struct {
		rows *spilledRows
		make func(Row)
	}{{p.rows, p.capture}, {p.facts, p.measurement}} {
		err := from.rows.each(func(row Row) error {
			from.make(row)
			return p.failed
		})
		if err != nil {
			return err
		}
	}
	p.writeAgents()
	return p.failed
}

// handled are terms with a way of their own into the tables.
var handled = map[string]bool{
	"occurrenceID": true, "eventID": true, "parentEventID": true, "samplingProtocol": true, "individualCount": true,
	"associatedMedia": true, "datasetID": true, "datasetName": true, "recordedByID": true, "identifiedByID": true,
}

// leftover reports whether no table that we write has a field for a term.
func leftover(term string) bool {
	switch {
	case term == "associatedOrganisms": // it may differ between captures of an organism
		return true
	case handled[term], ofEvent(term), material[term]:
		return false
	}
	return fieldOf("occurrence", term) == "" && fieldOf("organism", term) == "" && fieldOf("identification", term) == ""
}

// material are terms that are about a piece of the animal that was kept.
var material = map[string]bool{"materialSampleID": true, "materialEntityID": true, "preparations": true, "disposition": true, "materialEntityRemarks": true, "associatedSequences": true}

// capture writes the rows that one capture gives.
func (p *Package) capture(row Row) {
	id, event := row.Get("occurrenceID"), p.events(row)
	fields := []Field{{"occurrenceID", id}, {"eventID", event}}
	people := p.people(row.Get("recordedBy"), row.Get("recordedByID"))
	if len(people) == 1 {
		fields = append(fields, Field{"recordedByID", people[0]})
	}
	if by := p.people(row.Get("identifiedBy"), row.Get("identifiedByID")); len(by) == 1 {
		fields = append(fields, Field{"identifiedByID", by[0]})
	}
	var rest []Field
	switch n := row.Get("individualCount"); {
	case n == "":
	case row.Get("organismQuantity") == "":
		fields = append(fields, Field{"organismQuantity", n}, Field{"organismQuantityType", "individuals"})
	default:
		rest = append(rest, Field{"individualCount", n})
	}
	for _, f := range row {
		name := fieldOf("occurrence", f.Term)
		if name != "" && !handled[f.Term] && !ofEvent(f.Term) {
			fields = append(fields, Field{name, detection(f)})
		}
	}
	rest = append(rest, p.put("occurrence", fields...)...)
	for _, f := range row {
		if unplaced(f) && !p.survey.agreed(f.Term) || material[f.Term] && !p.holds(f.Term, row) {
			rest = append(rest, f)
		}
	}
	p.assert("occurrence", id, rest...)
	p.beside(row, event, people)
}

// beside writes the rows of the other tables that a capture gives.
func (p *Package) beside(row Row, event string, people []string) {
	id := row.Get("occurrenceID")
	if len(people) > 1 {
		for i, a := range people {
			p.put("occurrence-agent-role", Field{"agentID", a}, Field{"occurrenceID", id}, Field{"agentRole", "recorded by"}, Field{"agentRoleOrder", strconv.Itoa(i + 1)})
		}
	}
	if o := row.Get("organismID"); p.once("organism", o) {
		p.some("organism", id, nil, row)
	}
	p.identification(id, row)
	if key := piece(row); p.once("material", key) {
		first := []Field{{"materialEntityID", key}, {"eventID", event}, {"evidenceForOccurrenceID", id}}
		p.some("material", id, first, row)
	}
	p.relations(id, row)
	p.media(id, row.Get("associatedMedia"))
}

// identification writes which taxon the animal is of. An identifier that
// another row has taken already becomes an assertion.
func (p *Package) identification(id string, row Row) {
	if !slices.ContainsFunc(row, func(f Field) bool { return names(f.Term) }) {
		return
	}
	given, own := row.Get("identificationID"), named(p.dataset.ID, "identification\x1f"+id)
	key := firstOf(given, own)
	if !p.once("identification", key) {
		if key = own; !p.once("identification", key) {
			return
		}
		p.assert("occurrence", id, Field{"identificationID", given})
	}
	p.some("identification", id, []Field{{"identificationID", key}, {"occurrenceID", id}}, row)
}

// piece identifies what was kept of the animal, or is "".
func piece(row Row) string { return firstOf(row.Get("materialEntityID"), row.Get("materialSampleID")) }

// holds reports whether the table of materials has a place for a term of a row.
// It names every piece as a material entity, so that one that is a sample is
// said to be so in an assertion; so are those whose identifier is taken.
func (p *Package) holds(term string, row Row) bool {
	key := piece(row)
	return key != "" && term != "materialSampleID" && !p.seen["material\x1f"+key]
}

// names reports whether a term says which taxon the animal is of.
func names(term string) bool {
	t, ok := terms.Lookup(term)
	return ok && (t.Class == "Taxon" || t.Class == "Identification") && fieldOf("identification", term) != ""
}

// some writes the row of a table from the terms that it has fields for, after
// the fields given first. A text that does not fit becomes an assertion about
// the occurrence.
func (p *Package) some(table, occurrence string, first []Field, row Row) {
	fields := append([]Field(nil), first...)
	for _, f := range row {
		name := fieldOf(table, f.Term)
		if name == "" || handled[f.Term] || leftover(f.Term) || material[f.Term] != (table == "material") || f.Term == "materialSampleID" || f.Term == "identificationID" {
			continue
		}
		fields = append(fields, Field{name, f.Text})
	}
	if table == "identification" {
		if by := p.people(row.Get("identifiedBy"), row.Get("identifiedByID")); len(by) == 1 {
			fields = append(fields, Field{"identifiedByID", by[0]})
		}
	}
	p.assert("occurrence", occurrence, p.put(table, fields...)...)
}

var replicate = regexp.MustCompile(`(?:; )?replicate \d+$`)

// measurement writes a measurement as an assertion about its occurrence.
func (p *Package) measurement(row Row) {
	fields := []Field{
		{"occurrenceID", row.Get("occurrenceID")}, {"assertionID", row.Get("measurementID")},
		{"verbatimAssertionType", row.Get("verbatimMeasurementType")}, {"assertionType", row.Get("measurementType")}, {"assertionTypeIRI", row.Get("measurementTypeID")}, {"assertionUnitIRI", row.Get("measurementUnitID")},
		{"assertionUnit", row.Get("measurementUnit")}, {"assertionError", row.Get("measurementAccuracy")},
		{"assertionMadeDate", row.Get("measurementDeterminedDate")}, {"assertionBy", row.Get("measurementDeterminedBy")},
		{"assertionProtocols", row.Get("measurementMethod")}, {"assertionRemarks", row.Get("measurementRemarks")},
	}
	fields = append(fields, asserted(row.Get("measurementValue"), true))
	if by := p.people(row.Get("measurementDeterminedBy"), ""); len(by) == 1 {
		fields = append(fields, Field{"assertionByID", by[0]})
	}
	if way := replicate.ReplaceAllString(row.Get("measurementMethod"), ""); way != "" {
		fields = append(fields, Field{"assertionProtocolID", p.protocol("measurement", way)})
	}
	p.put("occurrence-assertion", fields...)
}

// assert writes terms that no table has a field for as assertions about an event or
// an occurrence.
func (p *Package) assert(about, id string, fields ...Field) {
	for _, f := range fields {
		t, ok := terms.Lookup(f.Term)
		row := []Field{{about + "ID", id}, {"assertionID", named(p.dataset.ID, "assertion\x1f"+id+"\x1f"+f.Term)}, {"assertionType", f.Term}, asserted(f.Text, ok && numeric(t.Name))}
		if ok {
			row = append(row, Field{"assertionTypeIRI", t.IRI}, Field{"assertionTypeSource", "http://rs.tdwg.org/dwc/terms/"})
		}
		p.put(about+"-assertion", row...)
	}
}

// asserted is a value in the field for its kind. What only looks like a number,
// as a record number may, is a text.
func asserted(text string, number bool) Field {
	if number && isNumber(text) {
		return Field{"assertionValueNumeric", text}
	}
	return Field{"assertionValue", text}
}

// counts are terms that are numbers and that no table has a field for.
var counts = []string{"individualCount", "sampleSizeValue"}

// numeric reports whether a term holds numbers: where a table has a field for
// it, it says so.
func numeric(term string) bool {
	return slices.Contains(counts, term) || slices.ContainsFunc(tables.All(), func(t *tables.Table) bool {
		f := t.Field(term)
		return f != nil && (f.Type == "number" || f.Type == "integer")
	})
}

// protocol returns the identifier of a way of working, and writes it the first
// time.
func (p *Package) protocol(kind, text string) string {
	id := ProtocolID(p.dataset.ID, kind+"\x1f"+text)
	if p.once("protocol", id) {
		p.put("protocol", Field{"protocolID", id}, Field{"protocolType", kind}, Field{"protocolDescription", text})
	}
	return id
}

// media writes the photographs and recordings of an occurrence.
func (p *Package) media(occurrence, list string) {
	for _, m := range Media(p.dataset.ID, list) {
		if p.once("media", m.ID) {
			p.put("media", Field{"mediaID", m.ID}, Field{"mediaType", m.Type}, Field{"accessURI", m.URI}, Field{"providerManagedID", m.Name}, Field{"format", m.Format})
		}
		if p.once("occurrence-media", m.ID+"\x1f"+occurrence) {
			p.put("occurrence-media", Field{"mediaID", m.ID}, Field{"occurrenceID", occurrence})
		}
	}
}
