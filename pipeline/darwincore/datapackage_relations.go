package darwincore

import (
	"regexp"
	"strings"
)

// relation is one association of an occurrence with another.
type relation struct{ kind, with string }

// relationForm is how Darwin Core's examples write one association in a list:
// "kind of relation":"identifier".
var relationForm = regexp.MustCompile(`^"([^"]+)" ?: ?"([^"]+)"$`)

// Relation writes an association the way associatedOccurrences lists them.
func Relation(kind, identifier string) string { return `"` + kind + `":"` + identifier + `"` }

// readRelations takes associatedOccurrences apart. It gives nil unless every
// part has the form of the examples.
func readRelations(list string) []relation {
	var out []relation
	for _, part := range strings.Split(list, "|") {
		m := relationForm.FindStringSubmatch(strings.TrimSpace(part))
		if m == nil {
			return nil
		}
		out = append(out, relation{m[1], m[2]})
	}
	return out
}

// relations writes what associatedOccurrences says of an occurrence.
func (p *Package) relations(id string, row placedRow) {
	const occurrence = "Occurrence"
	for _, r := range readRelations(row.Get("associatedOccurrences")) {
		key := named(p.dataset.ID, "relation\x1f"+id+"\x1f"+r.kind+"\x1f"+r.with)
		if !p.once("resource-relationship", key) {
			continue
		}
		p.put("resource-relationship", Field{"resourceRelationshipID", key},
			Field{"subjectResourceID", id}, Field{"subjectResourceType", occurrence}, Field{"relationshipType", r.kind},
			Field{"relatedResourceID", r.with}, Field{"relatedResourceType", occurrence},
			Field{"relationshipEstablishedDate", row.Get("eventDate")})
	}
}

// detection is the text of a field of an occurrence; its status in the words
// that Darwin Core advises since 2026-05-26, which speaks of detection where
// repositories still read presence.
func detection(f Field) string {
	if f.Term == "occurrenceStatus" {
		switch f.Text {
		case "present":
			return "detected"
		case "absent":
			return "notDetected"
		}
	}
	return f.Text
}
