package readback

import (
	"cmp"
	"context"
	"maps"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
)

type row = map[string]string

// tables are the rows of a data package by table, in their order.
type tables map[string][]row

func (t tables) by(table, key string) map[string]row {
	out := map[string]row{}
	for _, r := range t[table] {
		out[r[key]] = r
	}
	return out
}

// asMeasurement names the fields of an assertion as those of a measurement.
var asMeasurement = map[string]string{
	"assertionType": "measurementType", "verbatimAssertionType": "verbatimMeasurementType", "assertionTypeIRI": "measurementTypeID", "assertionValue": "measurementValue", "assertionValueNumeric": "measurementValue", "assertionUnit": "measurementUnit", "assertionUnitIRI": "measurementUnitID", "assertionError": "measurementAccuracy",
	"assertionMadeDate": "measurementDeterminedDate", "assertionBy": "measurementDeterminedBy", "assertionProtocols": "measurementMethod", "assertionRemarks": "measurementRemarks",
}

// Package reads a Darwin Core Data Package, by occurrenceID.
func Package(ctx context.Context, path string) (map[string]Animal, error) {
	t := tables{}
	_, err := prove.Path(ctx, path, prove.Options{Visit: func(r *prove.Row) error {
		t[r.RowType] = append(t[r.RowType], texts(r))
		return nil
	}})
	if err != nil {
		return nil, err
	}
	out := map[string]Animal{}
	events := t.events()
	names, pieces := t.by("identification", "occurrenceID"), t.by("material", "evidenceForOccurrenceID")
	organisms := t.by("organism", "organismID")
	for _, o := range t["occurrence"] {
		a := animal(events.around(o["eventID"]))
		maps.Copy(a.Terms, names[o["occurrenceID"]])
		maps.Copy(a.Terms, organisms[o["organismID"]])
		if p := pieces[o["occurrenceID"]]; p != nil {
			piece(a.Terms, p)
		}
		for field, text := range o {
			if field != "eventID" {
				a.Terms[field] = text
			}
		}
		out[o["occurrenceID"]] = a
	}
	for _, r := range t["occurrence-assertion"] {
		assertion(out[r["occurrenceID"]], r)
	}
	for _, a := range out {
		restore(a.Terms)
	}
	t.lists(out)
	return out, nil
}

// piece takes what was kept of the animal.
func piece(terms, p row) {
	for field, text := range p {
		switch field {
		case "eventID", "evidenceForOccurrenceID", "identifiedByID":
		default:
			terms[field] = text
		}
	}
}

// assertion takes a row of occurrence-assertion: a term if it names one, else
// a measurement.
func assertion(a Animal, r row) {
	if r["assertionTypeSource"] != "" {
		a.Terms[r["assertionType"]] = value(r)
		return
	}
	fields := row{}
	for k, name := range asMeasurement {
		if r[k] != "" {
			fields[name] = r[k]
		}
	}
	a.Measurements[r["assertionID"]] = fields
}

// value is what is asserted, which stands apart where it is a number.
func value(r row) string { return cmp.Or(r["assertionValue"], r["assertionValueNumeric"]) }

// restore gives terms the names and words that they had before, and drops what
// the package adds.
func restore(terms map[string]string) {
	if v, ok := terms["eventEffort"]; ok {
		terms["samplingEffort"] = v
	}
	if v, ok := terms["occurrenceReferences"]; ok {
		terms["associatedReferences"] = v
	}
	if terms["organismQuantityType"] == "individuals" {
		terms["individualCount"] = terms["organismQuantity"]
		delete(terms, "organismQuantity")
		delete(terms, "organismQuantityType")
	}
	if word, ok := map[string]string{"detected": "present", "notDetected": "absent"}[terms["occurrenceStatus"]]; ok {
		terms["occurrenceStatus"] = word
	}
	if terms["materialEntityID"] == terms["materialSampleID"] { // the one stands for the other
		delete(terms, "materialEntityID")
	}
	for _, k := range []string{"eventEffort", "occurrenceReferences", "eventCategory", "preferredEventName", "identificationID", "recordedByID", "identifiedByID"} {
		delete(terms, k)
	}
}

// lists puts the media and the relations of occurrences back into one text.
func (t tables) lists(out map[string]Animal) {
	add := func(occurrence, term, text string) {
		a := out[occurrence].Terms
		if a[term] != "" {
			text = a[term] + " | " + text
		}
		a[term] = text
	}
	media := t.by("media", "mediaID")
	for _, m := range t["occurrence-media"] {
		add(m["occurrenceID"], "associatedMedia", media[m["mediaID"]]["providerManagedID"])
	}
	for _, r := range t["resource-relationship"] {
		add(r["subjectResourceID"], "associatedOccurrences", darwincore.Relation(r["relationshipType"], r["relatedResourceID"]))
	}
}
