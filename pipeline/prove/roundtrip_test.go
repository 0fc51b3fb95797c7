package prove_test

import (
	"context"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
)

// animal is a capture as it reads after publication: its terms, and its
// measurements by identifier.
type animal struct {
	Terms        map[string]string
	Measurements map[string]map[string]string
}

func texts(r *prove.Row) map[string]string {
	out := map[string]string{}
	for i, t := range r.Terms {
		if r.Values[i] != "" {
			out[t] = r.Values[i]
		}
	}
	return out
}

// intended is what the captures say, before they are written.
func intended(captures []*record.Capture, d darwincore.Dataset) map[string]animal {
	out := map[string]animal{}
	for _, c := range captures {
		a := animal{map[string]string{}, map[string]map[string]string{}}
		row := darwincore.Occurrence(c, d)
		for _, f := range row {
			a.Terms[f.Term] = f.Text
		}
		for _, m := range darwincore.Measurements(c, d, nil) {
			fields := map[string]string{}
			for _, f := range m {
				if f.Term != "measurementID" && f.Term != "occurrenceID" {
					fields[f.Term] = f.Text
				}
			}
			a.Measurements[m.Get("measurementID")] = fields
		}
		out[row.Get("occurrenceID")] = a
	}
	return out
}

// fromArchive reads captures back from a Darwin Core Archive.
func fromArchive(t *testing.T, path string) map[string]animal {
	t.Helper()
	out := map[string]animal{}
	visit := func(r *prove.Row) error {
		v := texts(r)
		if r.Core {
			out[r.ID] = animal{v, map[string]map[string]string{}}
			return nil
		}
		if !strings.HasSuffix(r.RowType, "/MeasurementOrFact") {
			return nil
		}
		id := v["measurementID"]
		delete(v, "measurementID")
		out[r.ID].Measurements[id] = v
		return nil
	}
	if _, err := prove.Path(context.Background(), path, prove.Options{Visit: visit}); err != nil {
		t.Fatal(err)
	}
	return out
}

// asMeasurement names the fields of an assertion as those of a measurement.
var asMeasurement = map[string]string{
	"assertionType": "measurementType", "assertionValue": "measurementValue", "assertionUnit": "measurementUnit", "assertionError": "measurementAccuracy",
	"assertionMadeDate": "measurementDeterminedDate", "assertionBy": "measurementDeterminedBy", "assertionProtocols": "measurementMethod", "assertionRemarks": "measurementRemarks",
}

// fromPackage reads captures back from a Darwin Core Data Package: the terms
// of a capture stand with the occurrence, its identification, its event and
// the events around that, and in assertions.
func fromPackage(t *testing.T, path string) map[string]animal {
	t.Helper()
	tables := map[string][]map[string]string{}
	visit := func(r *prove.Row) error {
		tables[r.RowType] = append(tables[r.RowType], texts(r))
		return nil
	}
	if _, err := prove.Path(context.Background(), path, prove.Options{Visit: visit}); err != nil {
		t.Fatal(err)
	}
	by := func(table, key string) map[string]map[string]string {
		out := map[string]map[string]string{}
		for _, r := range tables[table] {
			out[r[key]] = r
		}
		return out
	}
	events, names, protocols := by("event", "eventID"), by("identification", "occurrenceID"), by("protocol", "protocolID")
	said := map[string]map[string]string{} // terms asserted, by event
	for _, r := range tables["event-assertion"] {
		if said[r["eventID"]] == nil {
			said[r["eventID"]] = map[string]string{}
		}
		said[r["eventID"]][r["assertionType"]] = r["assertionValue"]
	}
	for _, r := range tables["event-protocol"] {
		events[r["eventID"]]["samplingProtocol"] = protocols[r["protocolID"]]["protocolDescription"]
	}
	out := map[string]animal{}
	for _, o := range tables["occurrence"] {
		a := animal{map[string]string{}, map[string]map[string]string{}}
		session := o["eventID"]
		if events[session]["eventCategory"] == "Occurrence" {
			session = events[session]["parentEventID"]
		}
		for id := o["eventID"]; id != ""; id = events[id]["parentEventID"] {
			if events[id]["eventCategory"] == "Survey" {
				maps.Copy(a.Terms, said[id])
				a.Terms["datasetID"], a.Terms["datasetName"] = events[id]["datasetID"], events[id]["datasetName"]
				break
			}
			for k, v := range events[id] {
				if _, nearer := a.Terms[k]; !nearer {
					a.Terms[k] = v
				}
			}
			maps.Copy(a.Terms, said[id])
		}
		maps.Copy(a.Terms, names[o["occurrenceID"]])
		maps.Copy(a.Terms, o)
		a.Terms["eventID"], a.Terms["parentEventID"] = session, events[session]["parentEventID"]
		out[o["occurrenceID"]] = a
	}
	for _, r := range tables["occurrence-assertion"] {
		a := out[r["occurrenceID"]]
		if r["assertionTypeIRI"] != "" {
			a.Terms[r["assertionType"]] = r["assertionValue"]
			continue
		}
		fields := map[string]string{}
		for k, name := range asMeasurement {
			if r[k] != "" {
				fields[name] = r[k]
			}
		}
		a.Measurements[r["assertionID"]] = fields
	}
	for id, a := range out {
		a.Terms = restored(a.Terms)
		for _, m := range tables["occurrence-media"] {
			if m["occurrenceID"] == id {
				name := by("media", "mediaID")[m["mediaID"]]["providerManagedID"]
				if a.Terms["associatedMedia"] != "" {
					name = a.Terms["associatedMedia"] + " | " + name
				}
				a.Terms["associatedMedia"] = name
			}
		}
		out[id] = a
	}
	return out
}

// restored gives terms the names that they had before, and drops what the
// package adds.
func restored(terms map[string]string) map[string]string {
	out := maps.Clone(terms)
	if v, ok := out["eventEffort"]; ok {
		out["samplingEffort"] = v
	}
	if out["organismQuantityType"] == "individuals" {
		out["individualCount"] = out["organismQuantity"]
		delete(out, "organismQuantity")
		delete(out, "organismQuantityType")
	}
	for _, k := range []string{"eventEffort", "eventCategory", "preferredEventName", "identificationID", "recordedByID", "identifiedByID"} {
		delete(out, k)
	}
	return out
}

// TestRoundTrip writes captures into both containers, proves them, and reads
// the same captures back.
func TestRoundTrip(t *testing.T) {
	d := darwincore.Dataset{
		ID: "https://marrowcreek.example/frogs", Title: "Frogs of Marrow Creek", Description: "Frogs.", Licence: "CC BY 4.0", Language: "en",
		Creators: []darwincore.Person{{Given: "Ada", Family: "Wren"}}, CountryCode: "CA", Defaults: map[string]string{"institutionCode": "MCFS"},
	}
	var captures []*record.Capture
	for i := range 8 {
		v := func(term string, texts ...string) record.Value {
			return record.Value{Term: term, Text: texts[i%len(texts)], Verbatim: texts[i%len(texts)] + "!"}
		}
		captures = append(captures, &record.Capture{Key: string(rune('a' + i)), Session: []string{"one", "two"}[i/4], Values: []record.Value{
			v("eventDate", "2021-06-12"), v("eventTime", "21:00", ""), v("scientificName", "Rana luteiventris", "Anaxyrus boreas"),
			v("locality", "Beaver Pond", "Beaver Pond", "Long Ditch"), v("sex", "male", "female", ""), v("samplingProtocol", "visual search"),
			v("samplingEffort", "2 h"), v("individualCount", "1"), v("organismID", "f1", "f2", "f3"), v("associatedOrganisms", "", "mate of f1"),
			v("catalogNumber", "c1", "c2", "c3", "c4"), v("recordedBy", "Ada Wren", "Éric Stone | Ada Wren"), v("associatedMedia", "1.jpg | call.wav", ""),
			v("decimalLatitude", "51.25"), v("decimalLongitude", "-116.5"), v("coordinateUncertaintyInMeters", "30"), v("preparations", "", "toe clip"),
			v("superfamily", "Ranoidea", ""),
		}, Readings: []record.Reading{
			{Measurement: "snoutVentLength", Number: 71, Text: "71", Unit: "mm", Verbatim: "7.1 cm", Replicate: 1},
			{Measurement: "woundLength", State: record.Above, Number: 4, Text: "4", Unit: "mm"},
		}, Extras: []record.Extra{{Heading: "Weather", Text: []string{"rain", "dry"}[i%2]}}, Remarks: []string{"line one\nline two"}})
	}
	want := intended(captures, d)
	dir := t.TempDir()
	if _, err := darwincore.WriteArchive(dir, d, nil, slices.Values(captures)); err != nil {
		t.Fatal(err)
	}
	if _, err := darwincore.WritePackage(dir, d, nil, slices.Values(captures)); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, fromArchive(t, filepath.Join(dir, darwincore.Zip))); diff != "" {
		t.Errorf("the archive reads back otherwise:\n%s", diff)
	}
	if diff := cmp.Diff(want, fromPackage(t, filepath.Join(dir, darwincore.PackageFolder))); diff != "" {
		t.Errorf("the package reads back otherwise:\n%s", diff)
	}
	result, err := prove.Path(context.Background(), filepath.Join(dir, darwincore.PackageFolder), prove.Options{})
	if err != nil || result.Errors() > 0 {
		t.Errorf("%v, %v", err, result.Findings)
	}
}
