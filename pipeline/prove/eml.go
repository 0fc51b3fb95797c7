package prove

import (
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

const emlReference = "EML 2.2.0 schema"

// emlPrefix is the namespace of the version that is checked.
const emlPrefix = "https://eml.ecoinformatics.org/eml-2.2.0"

// eml proves the description of a dataset.
func (p *prover) eml(root *element, name string) {
	if root.name.Local != "eml" {
		return // some other format of metadata, which the guide allows
	}
	if root.name.Space != emlPrefix {
		p.found.add(record.Finding{Rule: "eml-version", Level: p.level("eml-version"), At: line(name, root.line), Value: root.name.Space,
			Reason: "only EML 2.2.0 is checked; this is another version", Reference: emlReference})
		return
	}
	p.conforms(root, name, "eml-schema", emlReference)
	ids := map[string]int{}
	p.emlIDs(root, name, ids)
	p.emlWalk(root, name, ids)
}

// spoken are elements whose type allows no text at all, though what they are
// for is to say something.
var spoken = map[string]bool{"title": true, "surName": true, "givenName": true, "organizationName": true, "positionName": true, "keyword": true}

// emlIDs gathers the identifiers of parts, each of which may be used once.
func (p *prover) emlIDs(e *element, name string, ids map[string]int) {
	if id, ok := e.attr("id"); ok {
		if _, twice := ids[id]; twice {
			p.add("eml-id-twice", line(name, e.line), "id", id, "another part already has this id", emlReference)
		}
		ids[id] = e.line
	}
	for _, c := range e.children {
		p.emlIDs(c, name, ids)
	}
}

// emlWalk checks references to parts, and the check characters of ORCID iDs.
func (p *prover) emlWalk(e *element, name string, ids map[string]int) {
	switch e.name.Local {
	case "boundingCoordinates":
		p.emlBounds(e, name)
	case "rangeOfDates":
		begin, end := dayOf(e, "beginDate"), dayOf(e, "endDate")
		if begin != nil && end != nil && begin.text() > end.text() {
			p.add("eml-range", line(name, begin.line), "beginDate", begin.text(), "the range begins after it ends on "+end.text(), emlReference)
		}
	case "references":
		if _, ok := ids[e.text()]; !ok {
			p.add("eml-reference-lost", line(name, e.line), "references", e.text(), "no part has this id", emlReference)
		}
	case "userId":
		dir, _ := e.attr("directory")
		if strings.Contains(dir, "orcid.org") {
			if _, err := terms.ORCID(e.text()); err != nil {
				p.add("orcid-invalid", line(name, e.line), "userId", e.text(), err.Error(), "ISO 7064 MOD 11-2")
			}
		}
	}
	if spoken[e.name.Local] && e.text() == "" && len(e.children) == 0 {
		p.add("eml-empty", line(name, e.line), e.name.Local, "", "<"+e.name.Local+"> is empty", emlReference)
	}
	for _, c := range e.children {
		p.emlWalk(c, name, ids)
	}
}

// dayOf returns the calendar date of one end of a range, if it has one.
func dayOf(e *element, end string) *element {
	for _, x := range e.all(end) {
		for _, day := range x.all("calendarDate") {
			return day
		}
	}
	return nil
}

// emlBounds compares north with south. West may be more than east, where an
// area lies across the date line.
func (p *prover) emlBounds(e *element, name string) {
	north, south := e.all("northBoundingCoordinate"), e.all("southBoundingCoordinate")
	if len(north) != 1 || len(south) != 1 {
		return
	}
	n, okN := decimal(north[0].text())
	s, okS := decimal(south[0].text())
	if okN && okS && n < s {
		p.add("eml-range", line(name, north[0].line), "northBoundingCoordinate", north[0].text(), "north lies below south ("+south[0].text()+")", emlReference)
	}
}
