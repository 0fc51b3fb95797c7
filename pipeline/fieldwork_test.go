package pipeline_test

import (
	"context"
	"encoding/csv"
	"encoding/xml"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/testdata/tablecheck"
)

const fieldSurvey = `dataset:
  id: https://marrow-creek.invalid/field
  title: Nights at the pond
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
survey: {from: "2023-04-01", to: "2023-09-30"}
defaults: {samplingProtocol: visual encounter survey, class: Amphibia}
instruments: [{name: caliper, kind: dial caliper, unit: mm, graduation: 0.1}]
sheets: [{file: nights.csv}]
mapping:
  name: nights
  key: [recordNumber]
  session: [eventDate, locality]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Time, term: eventTime}
    - {heading: Site, term: locality}
    - {heading: Effort, term: samplingEffort}
    - {heading: Species, term: scientificName}
    - {heading: Count, term: individualCount}
    - {heading: Seen, term: occurrenceStatus, words: {keiner: absent}}
    - {heading: Tag, term: organismID}
    - {heading: SVL, measurement: snoutVentLength, unit: mm, instrument: caliper}
    - {heading: Photo, term: associatedMedia}
    - {heading: Recording, term: associatedMedia}
    - {heading: Swab, term: materialSampleID}
    - {heading: Kept, term: preparations}
`

const fieldHeadings = "No,Date,Time,Site,Effort,Species,Count,Seen,Tag,SVL,Photo,Recording,Swab,Kept\n"

// field runs a survey of one sheet with these rows.
func field(t *testing.T, rows ...string) (string, *pipeline.Result) {
	t.Helper()
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", fieldSurvey)
	put(t, dir, "nights.csv", fieldHeadings+strings.Join(rows, "\n")+"\n")
	r := runWithPackage(t, dir, out)
	tablecheck.Profile(t, filepath.Join(out, darwincore.PackageFolder))
	tablecheck.Tables(t, filepath.Join(out, darwincore.PackageFolder))
	readsBack(t, out, r)
	return out, r
}

// table reads a file of the output as rows of named fields.
func table(t *testing.T, out, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(out, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	fixed := fixedTexts(t, out, name)
	var rows []map[string]string
	for _, l := range lines[1:] {
		row := map[string]string{}
		for term, text := range fixed {
			row[term] = text
		}
		for i, h := range lines[0] {
			row[h] = l[i]
		}
		rows = append(rows, row)
	}
	return rows
}

type filePart struct {
	Location string `xml:"files>location"`
	Field    []struct {
		Term    string `xml:"term,attr"`
		Default string `xml:"default,attr"`
	} `xml:"field"`
}

// fixedTexts are what every row of a file of an archive says by meta.xml.
func fixedTexts(t *testing.T, out, name string) map[string]string {
	t.Helper()
	var meta struct {
		Core      []filePart `xml:"core"`
		Extension []filePart `xml:"extension"`
	}
	folder, file := filepath.Split(filepath.FromSlash(name))
	text, err := os.ReadFile(filepath.Join(out, folder, "meta.xml"))
	if err != nil {
		return nil
	}
	if err := xml.Unmarshal(text, &meta); err != nil {
		t.Fatal(err)
	}
	fixed := map[string]string{}
	for _, part := range append(meta.Core, meta.Extension...) {
		for _, f := range part.Field {
			if part.Location == file && f.Default != "" {
				fixed[f.Term[strings.LastIndexAny(f.Term, "/#")+1:]] = f.Default
			}
		}
	}
	return fixed
}

// pick returns the row with a value in a field.
func pick(t *testing.T, rows []map[string]string, field, value string) map[string]string {
	t.Helper()
	for _, r := range rows {
		if r[field] == value {
			return r
		}
	}
	t.Fatalf("no row with %s %q", field, value)
	return nil
}

func rulesAt(fs []record.Finding) []string {
	var out []string
	for _, f := range fs {
		if f.Level >= record.Warning {
			out = append(out, f.Rule+" "+f.At.String())
		}
	}
	return out
}

// A session has its protocol and its effort; the survey is the parent of its
// sessions, and a session that of a capture with its own time.
func TestEvents(t *testing.T) {
	out, r := field(t,
		"1,2023-05-01,21:10,Beaver Pond,2 h,Rana temporaria,1,,,61,,,,",
		"2,2023-05-01,21:40,Beaver Pond,2 h,Rana temporaria,1,,,58,,,,",
		"3,2023-05-02,,Long Ditch,45 min,Bufo bufo,1,,,70,,,,")
	if len(rulesAt(r.Findings)) > 0 {
		t.Errorf("findings %v", rulesAt(r.Findings))
	}
	occurrences := table(t, out, "darwin-core/occurrence.csv")
	one, two, three := pick(t, occurrences, "recordNumber", "1"), pick(t, occurrences, "recordNumber", "2"), pick(t, occurrences, "recordNumber", "3")
	if one["eventID"] == "" || one["eventID"] != two["eventID"] || one["eventID"] == three["eventID"] || one["parentEventID"] != three["parentEventID"] || one["parentEventID"] == "" {
		t.Errorf("events %q %q %q, parents %q %q", one["eventID"], two["eventID"], three["eventID"], one["parentEventID"], three["parentEventID"])
	}
	if one["samplingProtocol"] != "visual encounter survey" || one["samplingEffort"] != "2 h" || three["samplingEffort"] != "45 min" {
		t.Errorf("protocol %q, effort %q and %q", one["samplingProtocol"], one["samplingEffort"], three["samplingEffort"])
	}
	events := table(t, out, "data-package/event.csv")
	survey := pick(t, events, "eventCategory", "survey")
	session := pick(t, events, "eventID", one["eventID"])
	if survey["parentEventID"] != "" || survey["eventDate"] != "2023-05-01/2023-05-02" || session["parentEventID"] != survey["eventID"] || session["eventEffort"] != "2 h" {
		t.Errorf("survey %v\nsession %v", survey, session)
	}
	in := pick(t, table(t, out, "data-package/occurrence.csv"), "occurrenceID", one["occurrenceID"])
	if own := pick(t, events, "eventID", in["eventID"]); own["parentEventID"] != session["eventID"] || own["eventTime"] != "21:10" {
		t.Errorf("event of the capture %v", own)
	}
	if n := len(table(t, out, "data-package/occurrence.csv")); n != 3 || len(events) != 1+2+2 {
		t.Errorf("%d occurrences, %d events", n, len(events))
	}
	protocol := pick(t, table(t, out, "data-package/protocol.csv"), "protocolDescription", "visual encounter survey")
	pick(t, table(t, out, "data-package/event-protocol.csv"), "protocolID", protocol["protocolID"])
}

// Labels above a table say protocol and effort as well as columns do.
func TestEffortFromALabel(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", fieldSurvey)
	put(t, dir, "nights.csv", "Effort: 3 person-hours,,,\n,,,\nNo,Date,Site,Species,SVL\n1,2023-05-01,Beaver Pond,Rana temporaria,61\n2,2023-05-01,Beaver Pond,Rana temporaria,58\n")
	runWithPackage(t, dir, out)
	if got := table(t, out, "darwin-core/occurrence.csv")[1]["samplingEffort"]; got != "3 person-hours" {
		t.Errorf("samplingEffort %q", got)
	}
}

// Absence is published where it is stated, has no measurements and takes no
// part in any comparison.
func TestAbsence(t *testing.T) {
	out, r := field(t,
		"1,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,,61,,,,",
		",2023-05-02,,Beaver Pond,2 h,Rana temporaria,0,,,,,,,",
		",2023-05-03,,Beaver Pond,2 h,Rana temporaria,,keiner,,,,,,",
		"4,2023-05-04,,Beaver Pond,2 h,Rana temporaria,,,,62,,,,")
	if len(rulesAt(r.Findings)) > 0 {
		t.Errorf("findings %v", rulesAt(r.Findings))
	}
	if r.Counts.Absences != 2 || r.Counts.Captures != 4 || r.Counts.Occurrences != 4 || r.Counts.Measurements != 2 {
		t.Errorf("counts %+v", r.Counts)
	}
	var got []string
	for _, o := range table(t, out, "darwin-core/occurrence.csv") {
		got = append(got, o["eventDate"]+" "+o["occurrenceStatus"]+" "+o["individualCount"])
	}
	if want := []string{"2023-05-01 present 1", "2023-05-02 absent 0", "2023-05-03 absent ", "2023-05-04 present 1"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if o := pick(t, table(t, out, "data-package/occurrence.csv"), "organismQuantity", "0"); o["occurrenceStatus"] != "notDetected" {
		t.Errorf("the package says %v", o)
	}
	for _, f := range r.Findings {
		if f.Rule == "group-too-small" && !strings.Contains(f.Reason, "(2)") {
			t.Errorf("absences were compared: %s", f.Reason)
		}
	}
	if key := r.Captures[1].Key; key != "absent / 2023-05-02 / Beaver Pond / Rana temporaria" {
		t.Errorf("the absence is named %q", key)
	}
}

// What contradicts itself is said, and kept as it was written.
func TestAbsenceContradicted(t *testing.T) {
	out, r := field(t,
		"1,2023-05-01,,Beaver Pond,2 h,Rana temporaria,0,yes,,,,,,",
		"2,2023-05-01,,Beaver Pond,2 h,Rana temporaria,3,absent,,,,,,",
		"3,2023-05-01,,Beaver Pond,2 h,Rana temporaria,0,,,58,,,,")
	want := []string{"absence-contradicted nights.csv, H2", "absence-contradicted nights.csv, H3", "absence-measured nights.csv, G4"}
	if got := rulesAt(r.Findings); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	rows := table(t, out, "darwin-core/occurrence.csv")
	if rows[0]["occurrenceStatus"] != "present" || rows[0]["individualCount"] != "0" || rows[1]["occurrenceStatus"] != "absent" {
		t.Errorf("published %v", rows)
	}
	if _, err := os.Stat(filepath.Join(out, "darwin-core", "measurementorfact.csv")); err == nil {
		t.Error("a measurement of an animal that was not there is published, and nobody decided on it")
	}
	if kept := rows[2]["dynamicProperties"]; !strings.Contains(kept, "58") {
		t.Errorf("the measurement that was written is lost: %q", kept)
	}
}

// Captures of one mark share organismID; each names the one before it where
// the order is known.
func TestRecapturesAreJoined(t *testing.T) {
	out, _ := field(t,
		"3,2023-06-20,22:30,Beaver Pond,2 h,Rana temporaria,1,,A7,64,,,,",
		"1,2023-05-01,21:10,Beaver Pond,2 h,Rana temporaria,1,,A7,61,,,,",
		"2,2023-06-20,21:10,Beaver Pond,2 h,Rana temporaria,1,,A7,64,,,,",
		"4,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,B1,50,,,,",
		"5,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,B1,50,,,,",
		"6,2023-06-20,,Beaver Pond,2 h,Rana temporaria,1,,,44,,,,")
	rows := table(t, out, "darwin-core/occurrence.csv")
	id := func(no string) string { return pick(t, rows, "recordNumber", no)["occurrenceID"] }
	for no, before := range map[string]string{"1": "", "2": id("1"), "3": id("2"), "4": "", "5": "", "6": ""} {
		want := ""
		if before != "" {
			want = `"recapture of":"` + before + `"`
		}
		if got := pick(t, rows, "recordNumber", no)["associatedOccurrences"]; got != want {
			t.Errorf("capture %s: associatedOccurrences %q, want %q", no, got, want)
		}
	}
	if organisms := table(t, out, "data-package/organism.csv"); len(organisms) != 2 {
		t.Errorf("organisms %v", organisms)
	}
	links := table(t, out, "data-package/resource-relationship.csv")
	if l := pick(t, links, "subjectResourceID", id("3")); len(links) != 2 || l["relatedResourceID"] != id("2") || l["relationshipType"] != "recapture of" || l["relationshipEstablishedDate"] != "2023-06-20" {
		t.Errorf("relationships %v", links)
	}
}

// Photographs and recordings are an extension of the archive with terms of
// Audiovisual Core, and tables of the package.
func TestMediaOfAnAnimal(t *testing.T) {
	out, r := field(t,
		"1,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,,61,IMG_0012.JPG,call-3.wav,,",
		"2,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,,58,https://marrow-creek.invalid/2.jpg,,,")
	if r.Counts.Media != 3 {
		t.Errorf("counts %+v", r.Counts)
	}
	rows := table(t, out, "darwin-core/media.csv")
	id := r.Captures[0].ID
	call := pick(t, rows, "providerManagedID", "call-3.wav")
	if len(rows) != 3 || call["occurrenceID"] != id || call["type"] != "Sound" || call["format"] != "audio/wav" || call["metadataLanguageLiteral"] != "eng" || call["identifier"] == "" {
		t.Errorf("media %v", rows)
	}
	if pick(t, rows, "type", "StillImage")["occurrenceID"] != id || pick(t, rows, "accessURI", "https://marrow-creek.invalid/2.jpg")["identifier"] != "https://marrow-creek.invalid/2.jpg" {
		t.Errorf("media %v", rows)
	}
	meta, err := os.ReadFile(filepath.Join(out, "darwin-core", "meta.xml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{`rowType="http://rs.tdwg.org/ac/terms/Media"`, "<location>media.csv</location>", `term="http://rs.tdwg.org/ac/terms/accessURI"`,
		`term="http://rs.tdwg.org/ac/terms/providerManagedID"`, `term="http://rs.tdwg.org/ac/terms/metadataLanguageLiteral"`,
		`term="http://purl.org/dc/elements/1.1/type"`, `term="http://purl.org/dc/terms/identifier"`} {
		if !strings.Contains(string(meta), s) {
			t.Errorf("meta.xml does not hold %s", s)
		}
	}
	if got := pick(t, table(t, out, "darwin-core/occurrence.csv"), "recordNumber", "1")["associatedMedia"]; got != "IMG_0012.JPG | call-3.wav" {
		t.Errorf("associatedMedia %q", got)
	}
	if n := len(table(t, out, "data-package/media.csv")); n != 3 || len(table(t, out, "data-package/occurrence-media.csv")) != 3 {
		t.Errorf("%d media in the package", n)
	}
	validArchive(t, filepath.Join(out, "darwin-core"))
	result, err := prove.Path(context.Background(), filepath.Join(out, darwincore.Zip), prove.Options{})
	if err != nil || len(result.Findings) > 0 {
		t.Errorf("%v, %v", err, result.Findings)
	}
}

// A swab or a piece of tissue is its own material sample.
func TestSwabsAndTissue(t *testing.T) {
	out, _ := field(t,
		"1,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,,61,,,SW-017,skin swab",
		"2,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,,58,,,,",
		"3,2023-05-01,,Beaver Pond,2 h,Rana temporaria,1,,,57,,,T-4,toe tip in ethanol")
	if got := pick(t, table(t, out, "darwin-core/occurrence.csv"), "materialSampleID", "SW-017"); got["preparations"] != "skin swab" || got["recordNumber"] != "1" {
		t.Errorf("occurrence %v", got)
	}
	rows := table(t, out, "data-package/material.csv")
	tissue := pick(t, rows, "materialEntityID", "T-4")
	occurrence := pick(t, table(t, out, "data-package/occurrence.csv"), "occurrenceID", tissue["evidenceForOccurrenceID"])
	if len(rows) != 2 || tissue["preparations"] != "toe tip in ethanol" || tissue["eventID"] != occurrence["eventID"] {
		t.Errorf("material %v", rows)
	}
}
