package prove

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

// column is one term of an entity, ready for its rows.
type column struct {
	field
	name  string // local name of the term
	check check  // without functions where every text will do
}

// simpleRows are classes whose rows are flat records that may hold every
// simple term: the cores, and extensions that are cores elsewhere.
var simpleRows = map[string]bool{
	"Occurrence": true, "Event": true, "Taxon": true, "Organism": true, "MaterialEntity": true, "MaterialSample": true,
	"Identification": true, "Location": true, "GeologicalContext": true, "SimpleDarwinRecord": true,
	"PreservedSpecimen": true, "FossilSpecimen": true, "LivingSpecimen": true, "HumanObservation": true,
	"MachineObservation": true, "MaterialCitation": true,
}

// columns looks up the terms of an entity and judges them: known, current,
// of a class that fits the rows.
func (p *prover) columns(e *entity, at record.Address) []column {
	var out []column
	class := localName(e.rowType)
	for _, f := range e.fields {
		where := at
		if f.line > 0 {
			where.Row = f.line
		} else {
			where.Row, where.Column = 1, f.index+1
		}
		c := column{field: f, name: localName(f.iri)}
		t, known := terms.Lookup(f.iri)
		if plain, secure := strings.CutPrefix(f.iri, "https://"); secure && !known {
			if t, known = terms.Lookup("http://" + plain); known {
				p.add("term-https", where, t.Name, f.iri, "the address of this term begins with http://", guide+"2.4.1")
			}
		}
		if known {
			c.name = t.Name
		}
		if rule, reason := termFault(f.iri, t, known, e.rowType, class); rule != "" && !(e.unclear && rule == "term-wrong-class") {
			if rule == "term-unknown" && f.line == 0 { // a heading: its cells are passed over
				rule = "heading-unknown"
			}
			v := record.Finding{Rule: rule, Level: p.level(rule), At: where, Field: c.name, Value: f.iri, Reason: reason, Reference: guide + "2.4.1"}
			switch {
			case !known:
				v.Suggestion = terms.Nearest(c.name)
			case len(t.ReplacedBy) == 1:
				v.Suggestion = t.ReplacedBy[0]
			}
			p.found.add(v)
		}
		c.check = checks[c.name]
		if known && t.Class == "UseWithIRI" {
			c.check = checks["references"]
		}
		if f.index < 0 && f.def != "" && c.check.full != nil {
			if w := c.check.full(f.def); w != nil {
				p.found.add(record.Finding{Rule: w.rule, Level: p.level(w.rule), At: where, Field: c.name, Value: f.def, Reason: w.reason, Suggestion: w.suggestion, Reference: c.iri})
			}
		}
		out = append(out, c)
	}
	if strings.HasSuffix(class, "MeasurementOrFact") {
		for _, name := range []string{"measurementType", "measurementValue"} {
			if columnNamed(out, name) < 0 && columnNamed(out, name+"ID") < 0 {
				p.add("measurement-incomplete", at, name, "", "measurements have no "+name, dwcSpace+"terms/"+name)
			}
		}
	}
	return out
}

// links are terms by which a row of any class names something of another.
var links = map[string]bool{
	"occurrenceID": true, "eventID": true, "parentEventID": true, "taxonID": true, "organismID": true, "identificationID": true,
	"materialEntityID": true, "materialSampleID": true, "locationID": true, "measurementID": true,
}

// outside are classes of rows that repositories take beside those of Darwin
// Core; a table by itself is known by its headings.
const (
	vernacularNames = "http://rs.gbif.org/terms/1.0/VernacularName"
	distributions   = "http://rs.gbif.org/terms/1.0/Distribution"
)

func termFault(iri string, t terms.Term, known bool, rowType, class string) (rule, reason string) {
	switch {
	case !known && strings.HasPrefix(iri, dwcSpace):
		return "term-unknown", "Darwin Core has no term " + localName(iri)
	case !known && !absoluteURI(iri):
		return "term-unknown", fmt.Sprintf("%q is not the name of a term", iri)
	case !known && strings.HasPrefix(iri, "http://purl.org/dc/terms/") && nearDublin(iri) != "":
		return "term-doubtful", "Dublin Core has the term " + nearDublin(iri) + ", which may be what is meant"
	case !known:
		return "", "" // terms of other standards are welcome
	case t.Kind != "property":
		return "term-not-column", t.Name + " is a class, not a term for a column"
	case !t.Current():
		return "term-deprecated", t.Name + " is deprecated" + inPlace(t)
	case t.Class == "Record-level", t.Class == "UseWithIRI", class == t.Class, links[t.Name]:
		return "", ""
	case !strings.HasPrefix(rowType, dwcSpace) && !strings.HasPrefix(rowType, "http://purl.org/dc/"):
		return "", "" // what an extension of others takes is theirs to say
	case t.Simple() && simpleRows[class]:
		return "", ""
	}
	return "term-wrong-class", fmt.Sprintf("%s describes a %s, but the rows are of class %s", t.Name, t.Class, class)
}

func localName(iri string) string { return iri[strings.LastIndexAny(iri, "/#")+1:] }

// nearDublin returns the term of Dublin Core in Darwin Core that a name is
// nearest to, if it is near, or "".
func nearDublin(iri string) string {
	near := terms.Nearest(localName(iri))
	if t, ok := terms.Lookup(near); ok && strings.HasPrefix(t.IRI, "http://purl.org/dc/") {
		return near
	}
	return ""
}
