package darwincore

import (
	"slices"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
)

// remarkSeparator joins several texts in one cell, as Darwin Core recommends
// for lists.
const remarkSeparator = " | "

// verbatimTerms are the terms that keep the text of a cell beside the value
// that was read from it.
var verbatimTerms = map[string]string{
	"eventDate":                "verbatimEventDate",
	"scientificName":           "verbatimIdentification",
	"locality":                 "verbatimLocality",
	"decimalLatitude":          "verbatimLatitude",
	"decimalLongitude":         "verbatimLongitude",
	"geodeticDatum":            "verbatimSRS",
	"taxonRank":                "verbatimTaxonRank",
	"minimumElevationInMeters": "verbatimElevation",
	"minimumDepthInMeters":     "verbatimDepth",
}

// Occurrence makes the row of the core for one capture; where rows of many
// captures are made, a Maker does it.
func Occurrence(c *record.Capture, d Dataset) Row { return NewMaker(d, nil).Occurrence(c) }

// usualFields is the number of fields that a row of the core seldom exceeds.
const usualFields = 48

// Occurrence makes the row of the core. A term of the capture wins over the
// defaults of the dataset, and those over what is true of every capture: that
// the animal was present, and was observed by a person.
func (m *Maker) Occurrence(c *record.Capture) Row {
	d := &m.dataset
	row := append(make(Row, 0, usualFields), Field{"occurrenceID", identity(c, d)})
	dynamic := newProperties(c)
	for i := range c.Values {
		v := &c.Values[i]
		t, ok := terms.Lookup(v.Term)
		switch {
		case v.Term == "dynamicProperties" || v.Term == "occurrenceID":
		case ok && t.Class == "MeasurementOrFact":
		case ok && t.Current() && t.Property() && t.Simple():
			row = row.set(t.Name, v.Text)
			row = keepVerbatim(row, c, t.Name, v, dynamic)
		default:
			dynamic.put(v.Term, firstOf(v.Text, v.Verbatim))
		}
	}
	for _, f := range m.same {
		row = row.fill(f.Term, f.Text)
	}
	if row.Get("country") == "" && row.Get("countryCode") == "" { // a row that names one may lie in another country
		row = row.set("country", d.Country).set("countryCode", d.CountryCode)
	}
	if c.Session != "" && row.Get("eventID") == "" {
		row = row.set("eventID", EventID(d.ID, c.Session)).fill("parentEventID", m.survey)
	}
	if len(c.Remarks) > 0 {
		row = row.set("occurrenceRemarks", joinTexts(row.Get("occurrenceRemarks"), c.Remarks))
	}
	dynamic.readings(c)
	return row.set("dynamicProperties", dynamic.json()).sorted()
}

// keepVerbatim puts what was written beside a value that reads otherwise.
func keepVerbatim(row Row, c *record.Capture, term string, v *record.Value, dynamic *properties) Row {
	written := strings.TrimSpace(v.Verbatim)
	if written == "" || written == strings.TrimSpace(v.Text) {
		return row
	}
	beside, ok := verbatimTerms[term]
	if ok && c.Get(beside) == "" {
		return row.set(beside, written)
	}
	if c.Get(beside) != written {
		dynamic.verbatim(term, written)
	}
	return row
}

// joinTexts joins texts, each once, in the order given.
func joinTexts(first string, more []string) string {
	var out []string
	for _, s := range append([]string{first}, more...) {
		if s = strings.TrimSpace(s); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return strings.Join(out, remarkSeparator)
}

func firstOf(texts ...string) string {
	for _, s := range texts {
		if strings.TrimSpace(s) != "" {
			return s
		}
	}
	return ""
}
