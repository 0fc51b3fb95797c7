package main

import (
	"encoding/json"
	"strings"
)

// property is one field of a table of a data package.
type property struct{ name, title, kind, iri string }

// soundPackage returns the files of a data package without a fault.
func soundPackage() map[string]string {
	event := []property{{"eventID", "Event ID", "string", dwc + "eventID"}, {"eventDate", "Event Date", "string", dwc + "eventDate"},
		{"decimalLatitude", "Decimal Latitude", "number", dwc + "decimalLatitude"}, {"decimalLongitude", "Decimal Longitude", "number", dwc + "decimalLongitude"}}
	occurrence := []property{{"occurrenceID", "Occurrence ID", "string", dwc + "occurrenceID"}, {"eventID", "Event ID", "string", dwc + "eventID"},
		{"sex", "Sex", "string", dwc + "sex"}, {"scientificName", "Scientific Name", "string", dwc + "scientificName"}}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetIndent("", " ")
	_ = e.Encode(map[string]any{
		"profile": "http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json", "id": "https://marrowcreek.example/frogs", "created": "2021-07-01T00:00:00Z", "version": "1.0",
		"resources": []any{tableOf("event", event, nil), tableOf("occurrence", occurrence, map[string]any{
			"fields": "eventID", "predicate": "happened during", "reference": map[string]any{"resource": "event", "fields": "eventID"}})},
	})
	return map[string]string{
		"datapackage.json": b.String(),
		"event.csv":        "eventID,eventDate,decimalLatitude,decimalLongitude\r\nn1,2021-06-12,51.25,-116.5\r\nn2,2021-06-13,51.26,-116.51\r\n",
		"occurrence.csv":   "occurrenceID,eventID,sex,scientificName\r\nmc-1,n1,female,Rana luteiventris\r\nmc-2,n1,male,Rana luteiventris\r\nmc-3,n2,female,Anaxyrus boreas\r\n",
		"eml.xml":          sound()["eml.xml"],
	}
}

func tableOf(name string, fields []property, foreign map[string]any) map[string]any {
	var list []any
	for _, f := range fields {
		list = append(list, map[string]any{"name": f.name, "title": f.title, "description": f.title + " of the table.", "type": f.kind, "format": "default", "dcterms:isVersionOf": f.iri})
	}
	schema := map[string]any{"fields": list, "primaryKey": fields[0].name}
	if foreign != nil {
		schema["foreignKeys"] = []any{foreign}
	}
	return map[string]any{"name": name, "path": name + ".csv", "profile": "tabular-data-resource", "format": "csv", "mediatype": "text/csv", "schema": schema}
}
