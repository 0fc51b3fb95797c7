package prove_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/testdata/tablecheck"
)

// packaged makes a data package with something in every table that captures
// can fill.
func packaged(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	d := darwincore.Dataset{
		ID: "https://marrowcreek.example/frogs", Title: "Frogs of Marrow Creek", Description: "Frogs.", Licence: "CC BY 4.0", Language: "en", Version: "1",
		Creators: []darwincore.Person{{Given: "Ada", Family: "Wren", ORCID: "0000-0003-0077-4738"}}, CountryCode: "CA",
		Instruments: []darwincore.Instrument{{Name: "caliper", Kind: "dial caliper", Unit: "mm", Graduation: 0.1}},
	}
	var captures []*record.Capture
	for i := range 6 {
		c := &record.Capture{Key: fmt.Sprint("MC-", i), Session: fmt.Sprint("2021-06-1", i/3), Values: []record.Value{
			{Field: record.Of("catalogNumber"), Text: fmt.Sprint("MC-", i)},
			{Field: record.Of("eventDate"), Text: fmt.Sprint("2021-06-1", i/3)}, {Field: record.Of("scientificName"), Text: "Rana luteiventris"}, {Field: record.Of("genus"), Text: "Rana"},
			{Field: record.Of("locality"), Text: "Beaver Pond"}, {Field: record.Of("samplingProtocol"), Text: "visual search"}, {Field: record.Of("samplingEffort"), Text: "2 h"},
			{Field: record.Of("organismID"), Text: fmt.Sprint("frog-", i%4)}, {Field: record.Of("recordedBy"), Text: "Ada Wren | Éric Stone"},
			{Field: record.Of("decimalLatitude"), Text: fmt.Sprint(51.25 + float64(i)/100)}, {Field: record.Of("decimalLongitude"), Text: "-116.5"},
			{Field: record.Of("individualCount"), Text: "1"}, {Field: record.Of("associatedMedia"), Text: "call.wav | https://marrowcreek.example/1.jpg"},
		}, Readings: []record.Reading{
			{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Instrument: "caliper", Replicate: 1}, Number: 71, Text: "71", Accuracy: 0.1},
			{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Instrument: "caliper", Replicate: 2}, Number: 72, Text: "72", Accuracy: 0.1},
			{Series: &record.Series{Measurement: "woundLength", Unit: "mm"}, State: record.Below, Number: 0.5, Text: "0.5"},
		}, Extras: []record.Extra{{Heading: "Weather", Text: "rain"}}}
		if i == 2 {
			c.Values = append(c.Values, record.Value{Field: record.Of("materialSampleID"), Text: "swab-2"}, record.Value{Field: record.Of("preparations"), Text: "skin swab"})
		}
		captures = append(captures, c)
	}
	if _, err := darwincore.WritePackage(dir, d, nil, slices.Values(captures)); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, darwincore.PackageFolder)
}

func TestOwnPackage(t *testing.T) {
	dir := packaged(t)
	result, err := prove.Path(context.Background(), dir, prove.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range result.Findings {
		t.Errorf("%s %s: %s %q %s", f.Rule, f.At, f.Field, f.Value, f.Reason)
	}
	rows := map[string]int{}
	for _, p := range result.Parts {
		rows[p.RowType] = p.Rows
	}
	if _, err := prove.Package(context.Background(), dir, rows, prove.Options{}); err != nil {
		t.Error(err)
	}
	if _, err := prove.Package(context.Background(), dir, map[string]int{"media": 3}, prove.Options{}); err == nil {
		t.Error("a lost row is not missed")
	}
	want := map[string]int{"agent": 2, "event": 1 + 2 + 6, "event-assertion": 4, "event-protocol": 2, "identification": 6, "material": 1, "media": 2,
		"occurrence": 6, "occurrence-agent-role": 12, "occurrence-assertion": 6*3 + 6 + 1, "occurrence-media": 12, "organism": 4, "protocol": 2}
	for name, n := range want {
		if rows[name] != n {
			t.Errorf("%s has %d rows, want %d", name, rows[name], n)
		}
	}
}

// TestPackagePublished holds what we write against the published schemas.
func TestPackagePublished(t *testing.T) {
	dir := packaged(t)
	tablecheck.Profile(t, dir)
	tablecheck.Tables(t, dir)
}

// TestGuidePackage accepts the descriptor and the tables that the guide shows.
func TestGuidePackage(t *testing.T) {
	b, err := os.ReadFile(need.Shared(t, "standards/darwin-core/data-package-guide.md"))
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile("(?s)```(json|text)\n(.*?)```").FindAllStringSubmatch(string(b), -1)
	dir := t.TempDir()
	for i, name := range []string{"event.csv", "occurrence.csv", "datapackage.json"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(blocks[i][2]), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	result, err := prove.Path(context.Background(), dir, prove.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range result.Findings {
		if f.Level == record.Error {
			t.Errorf("%s %s: %s %q %s", f.Rule, f.At, f.Field, f.Value, f.Reason)
		}
	}
}

// TestBrokenPackage changes one thing in a package and expects the rule, with
// the line of the descriptor or of the table.
func TestBrokenPackage(t *testing.T) {
	for _, c := range []struct {
		file, old, new, rule string
		refused              bool
	}{
		{"datapackage.json", `"profile": "http://rs.tdwg.org/dwc-dp/1.0`, `"profile": "http://rs.tdwg.org/dwc-dp`, "package-profile", false},
		{"datapackage.json", `  "version": "1",`, ``, "package-part-advised", false},
		{"datapackage.json", `"resources": [`, `"resources": [,`, "package-malformed", false},
		{"datapackage.json", `"path": "event.csv"`, `"path": "../event.csv"`, "resource-path", true},
		{"datapackage.json", `"path": "event.csv"`, `"path": "https://marrowcreek.example/event.csv"`, "location-remote", false},
		{"datapackage.json", `"path": "event.csv"`, `"path": "events.csv"`, "location-missing", false},
		{"datapackage.json", `"mediatype": "text/csv"`, `"mediatype": "text/plain"`, "resource-mediatype", false},
		{"datapackage.json", `"title": "Event ID"`, `"title": ""`, "field-part-missing", false},
		{"datapackage.json", `"name": "locality"`, `"name": "pond"`, "field-unknown", false},
		{"datapackage.json", `"primaryKey": "eventID"`, `"primaryKey": "locality"`, "key-primary", false},
		{"datapackage.json", `"fields": "parentEventID"`, `"fields": "locality"`, "key-foreign-missing", false},
		{"event.csv", "eventID,", "eventId,", "schema-heading", false},
		{"event.csv", "51.25", "91.25", "field-misfit", false},
		{"occurrence.csv", "-", "", "key-lost", false},
		{"occurrence-assertion.csv", "-", "", "key-lost", false},
		{"event.csv", "-", "", "key-lost", false},
	} {
		dir := packaged(t)
		path := filepath.Join(dir, c.file)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		changed := strings.Replace(string(b), c.old, c.new, 1)
		if changed == string(b) {
			t.Fatalf("%s holds no %q", c.file, c.old)
		}
		os.WriteFile(path, []byte(changed), 0o644)
		result, err := prove.Path(context.Background(), dir, prove.Options{})
		if (err != nil) != c.refused {
			t.Errorf("%s: %v", c.rule, err)
			continue
		}
		i := slices.IndexFunc(result.Findings, func(f record.Finding) bool { return f.Rule == c.rule })
		if i < 0 || result.Findings[i].At.Row == 0 {
			t.Errorf("%s is not found with its line in %v", c.rule, result.Findings)
		}
	}
}
