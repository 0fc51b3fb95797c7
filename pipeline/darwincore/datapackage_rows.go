package darwincore

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/darwincore/tables"
	"spadefoot/pipeline/darwincore/terms"
)

// fill makes the rows of all tables from the spilled captures.
func (p *Package) fill() error {
	p.conclude()
	p.surveyEvent()
	for _, from := range []struct {
		rows *spilledRows
		make func(placedRow)
	}{{p.rows, p.capture}, {p.facts, p.measurement}} {
		err := from.rows.each(&p.places, func(row placedRow) error {
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

// capture writes the rows that one capture gives.
func (p *Package) capture(row placedRow) {
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
		if name := f.fields["occurrence"]; name != "" && !f.handled && !f.ofEvent {
			fields = append(fields, Field{name, detection(f.Field)})
		}
	}
	rest = append(rest, p.put("occurrence", fields...)...)
	for _, f := range row {
		if f.unplaced() && !p.agreed.on(f.number) || f.material && !p.holds(f.Term, row) {
			rest = append(rest, f.Field)
		}
	}
	p.assert("occurrence", id, rest...)
	p.beside(row, event, people)
}

// beside writes the rows of the other tables that a capture gives.
func (p *Package) beside(row placedRow, event string, people []string) {
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
func (p *Package) identification(id string, row placedRow) {
	if !slices.ContainsFunc(row, func(f placedField) bool { return f.naming }) {
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
func piece(row placedRow) string {
	return firstOf(row.Get("materialEntityID"), row.Get("materialSampleID"))
}

// holds reports whether the table of materials has a place for a term of a row.
// It names every piece as a material entity, so that one that is a sample is
// said to be so in an assertion; so are those whose identifier is taken.
func (p *Package) holds(term string, row placedRow) bool {
	key := piece(row)
	if key == "" || term == "materialSampleID" {
		return false
	}
	_, taken := p.seen[keyOf("material", key)]
	return !taken
}

// some writes the row of a table from the terms that it has fields for, after
// the fields given first. A text that does not fit becomes an assertion about
// the occurrence.
func (p *Package) some(table, occurrence string, first []Field, row placedRow) {
	fields := append([]Field(nil), first...)
	for _, f := range row {
		name := f.fields[table]
		if name == "" || f.handled || f.leftover || f.material != (table == "material") || f.Term == "materialSampleID" || f.Term == "identificationID" {
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
func (p *Package) measurement(row placedRow) {
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
	way := row.Get("measurementMethod")
	if strings.Contains(way, "replicate") {
		way = replicate.ReplaceAllString(way, "")
	}
	if way != "" {
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
