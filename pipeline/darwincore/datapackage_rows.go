package darwincore

import (
	"regexp"
	"slices"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
)

// fill makes the rows of all tables from the spilled captures.
func (p *Package) fill() error {
	if err := p.surveyEvent(); err != nil {
		return err
	}
	if err := p.rows.each(p.capture); err != nil {
		return err
	}
	if err := p.facts.each(p.measurement); err != nil {
		return err
	}
	return p.writeAgents()
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
func (p *Package) capture(row Row) error {
	id := row.Get("occurrenceID")
	event, err := p.events(row)
	if err != nil {
		return err
	}
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
	misfits, err := p.put("occurrence", fields...)
	if err != nil {
		return err
	}
	rest = append(rest, misfits...)
	for _, f := range row {
		if unplaced(f) && !p.survey.agreed(f.Term) || material[f.Term] && !p.holds(f.Term, row) {
			rest = append(rest, f)
		}
	}
	if err := p.assertAll(id, rest); err != nil {
		return err
	}
	return p.beside(row, event, people)
}

func (p *Package) assertAll(occurrence string, fields []Field) error {
	for _, f := range fields {
		if err := p.assert("occurrence", occurrence, f); err != nil {
			return err
		}
	}
	return nil
}

// beside writes the rows of the other tables that a capture gives.
func (p *Package) beside(row Row, event string, people []string) error {
	id := row.Get("occurrenceID")
	if len(people) > 1 {
		for i, a := range people {
			if _, err := p.put("occurrence-agent-role", Field{"agentID", a}, Field{"occurrenceID", id}, Field{"agentRole", "recorded by"}, Field{"agentRoleOrder", number(float64(i + 1))}); err != nil {
				return err
			}
		}
	}
	if o := row.Get("organismID"); p.once("organism", o) {
		if err := p.some("organism", id, nil, row); err != nil {
			return err
		}
	}
	if err := p.identification(id, row); err != nil {
		return err
	}
	if key := piece(row); p.once("material", key) {
		first := []Field{{"materialEntityID", key}, {"eventID", event}, {"evidenceForOccurrenceID", id}}
		if err := p.some("material", id, first, row); err != nil {
			return err
		}
	}
	if err := p.relations(id, row); err != nil {
		return err
	}
	return p.media(id, row.Get("associatedMedia"))
}

// identification writes which taxon the animal is of. An identifier that
// another row has taken already becomes an assertion.
func (p *Package) identification(id string, row Row) error {
	if !slices.ContainsFunc(row, func(f Field) bool { return names(f.Term) }) {
		return nil
	}
	given, own := row.Get("identificationID"), named(p.dataset.ID, "identification\x1f"+id)
	key := firstOf(given, own)
	if !p.once("identification", key) {
		if key = own; !p.once("identification", key) {
			return nil
		}
		if err := p.assert("occurrence", id, Field{"identificationID", given}); err != nil {
			return err
		}
	}
	return p.some("identification", id, []Field{{"identificationID", key}, {"occurrenceID", id}}, row)
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
func (p *Package) some(table, occurrence string, first []Field, row Row) error {
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
	misfits, err := p.put(table, fields...)
	if err != nil {
		return err
	}
	return p.assertAll(occurrence, misfits)
}

var replicate = regexp.MustCompile(`(?:; )?replicate \d+$`)

// measurement writes a measurement as an assertion about its occurrence.
func (p *Package) measurement(row Row) error {
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
		id, err := p.protocol("measurement", way)
		if err != nil {
			return err
		}
		fields = append(fields, Field{"assertionProtocolID", id})
	}
	_, err := p.put("occurrence-assertion", fields...)
	return err
}

// assert writes a term that no table has a field for as an assertion about an
// event or an occurrence.
func (p *Package) assert(about, id string, f Field) error {
	t, ok := terms.Lookup(f.Term)
	row := []Field{{about + "ID", id}, {"assertionID", named(p.dataset.ID, "assertion\x1f"+id+"\x1f"+f.Term)}, {"assertionType", f.Term}, asserted(f.Text, ok && numeric(t.Name))}
	if ok {
		row = append(row, Field{"assertionTypeIRI", t.IRI}, Field{"assertionTypeSource", "http://rs.tdwg.org/dwc/terms/"})
	}
	_, err := p.put(about+"-assertion", row...)
	return err
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
func (p *Package) protocol(kind, text string) (string, error) {
	id := ProtocolID(p.dataset.ID, kind+"\x1f"+text)
	if !p.once("protocol", id) {
		return id, nil
	}
	_, err := p.put("protocol", Field{"protocolID", id}, Field{"protocolType", kind}, Field{"protocolDescription", text})
	return id, err
}

// media writes the photographs and recordings of an occurrence.
func (p *Package) media(occurrence, list string) error {
	for _, m := range Media(p.dataset.ID, list) {
		if p.once("media", m.ID) {
			if _, err := p.put("media", Field{"mediaID", m.ID}, Field{"mediaType", m.Type}, Field{"accessURI", m.URI}, Field{"providerManagedID", m.Name}, Field{"format", m.Format}); err != nil {
				return err
			}
		}
		if p.once("occurrence-media", m.ID+"\x1f"+occurrence) {
			if _, err := p.put("occurrence-media", Field{"mediaID", m.ID}, Field{"occurrenceID", occurrence}); err != nil {
				return err
			}
		}
	}
	return nil
}
