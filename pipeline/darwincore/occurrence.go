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

// Occurrence makes the row of the core. A term of the capture wins over the
// defaults of the dataset, and those over what is true of every capture: that
// the animal was present, and was observed by a person.
func Occurrence(c *record.Capture, d Dataset) Row {
	row := Row{{"occurrenceID", identity(c, &d)}}
	dynamic := newProperties(c)
	for _, v := range c.Values {
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
	row = describeDataset(row, &d)
	if c.Session != "" && row.Get("eventID") == "" {
		row = row.set("eventID", EventID(d.ID, c.Session)).fill("parentEventID", EventID(d.ID, ""))
	}
	row = row.set("occurrenceRemarks", joinTexts(row.Get("occurrenceRemarks"), c.Remarks))
	dynamic.readings(c)
	return row.set("dynamicProperties", dynamic.json()).sorted()
}

// keepVerbatim puts what was written beside a value that reads otherwise.
func keepVerbatim(row Row, c *record.Capture, term string, v record.Value, dynamic *properties) Row {
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

// describeDataset fills the terms that are the same for every row.
func describeDataset(row Row, d *Dataset) Row {
	for _, term := range sortedKeys(d.Defaults) {
		if t, ok := terms.Lookup(term); ok && t.Class != "MeasurementOrFact" {
			row = row.fill(t.Name, d.Defaults[term])
		}
	}
	licence := d.Licence
	if l, ok := terms.FindLicence(licence); ok {
		licence = l.URL
	}
	for _, f := range []Field{
		{"license", licence}, {"rightsHolder", d.RightsHolder}, {"language", d.Language},
		{"datasetID", d.ID}, {"datasetName", d.Title},
		{"basisOfRecord", "HumanObservation"}, {"occurrenceStatus", "present"},
	} {
		row = row.fill(f.Term, f.Text)
	}
	if row.Get("country") == "" && row.Get("countryCode") == "" { // a row that names one may lie in another country
		row = row.set("country", d.Country).set("countryCode", d.CountryCode)
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

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
