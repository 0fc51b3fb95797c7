package prove_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/testdata/readback"
)

// written makes an archive of ours with n captures.
func written(t testing.TB, n int) (dir string, counts prove.Counts) {
	t.Helper()
	dir = t.TempDir()
	d := darwincore.Dataset{
		ID: "https://marrowcreek.example/frogs", Title: "Frogs of Marrow Creek", Description: "Frogs.", Licence: "CC BY 4.0", Language: "en",
		Creators: []darwincore.Person{{Given: "Ada", Family: "Wren", ORCID: "0000-0003-0077-4738"}}, CountryCode: "CA",
	}
	captures := func(yield func(*record.Capture) bool) {
		for i := range n {
			c := &record.Capture{Key: fmt.Sprint("MC-", i), Session: "2021-06-12", Values: []record.Value{
				{Field: record.Of("eventDate"), Text: "2021-06-12", Verbatim: "12.6."}, {Field: record.Of("measurementDeterminedDate"), Text: "2021-06-12"}, {Field: record.Of("scientificName"), Text: "Rana luteiventris"},
				{Field: record.Of("decimalLatitude"), Text: "51.25"}, {Field: record.Of("decimalLongitude"), Text: "-116.5"},
			}, Readings: []record.Reading{
				{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm"}, Number: 71, Text: "71"},
				{Series: &record.Series{Measurement: "woundLength", Unit: "mm"}, State: record.Below, Number: 0.5, Text: "0.5"},
			}}
			if !yield(c) {
				return
			}
		}
	}
	got, err := readback.Write(dir, d, nil, captures)
	if err != nil {
		t.Fatal(err)
	}
	return dir, prove.Counts{Occurrences: got.Occurrences, Measurements: got.Measurements}
}

// TestOwnArchive proves what we write, as a folder and as a zip.
func TestOwnArchive(t *testing.T) {
	dir, counts := written(t, 5)
	for _, name := range []string{"darwin-core", "darwin-core.zip"} {
		found, err := prove.Archive(context.Background(), filepath.Join(dir, name), counts, prove.Options{})
		if err != nil || len(found) > 0 {
			t.Errorf("%s: %v, %v", name, found, err)
		}
	}
	empty, counts := written(t, 0)
	if found, err := prove.Archive(context.Background(), filepath.Join(empty, "darwin-core"), counts, prove.Options{}); err != nil || len(found) > 0 {
		t.Errorf("an archive without rows: %v, %v", found, err)
	}
}

// TestRefused changes one thing in an archive of ours and expects the proof
// before release to fail with the rule.
func TestRefused(t *testing.T) {
	for _, c := range []struct{ file, old, new, rule string }{
		{"occurrence.csv", "eventDate", "eventdate", "header-differs"},
		{"meta.xml", "terms/eventDate", "terms/eventdate", "term-unknown"},
		{"meta.xml", "terms/eventDate", "terms/individualID", "term-deprecated"},
		{"meta.xml", "terms/eventDate", "terms/measurementValue", "term-wrong-class"},
		{"occurrence.csv", "51.25", "151.25", "value-out-of-range"},
		{"meta.xml", `default="present"`, `default="there"`, "value-not-listed"},
		{"meta.xml", `default="HumanObservation"`, `default="human"`, "basis-not-class"},
		{"occurrence.csv", "2021-06-12,12.6.", "12.6.2021,12.6.", "value-not-date"},
		{"measurementorfact.csv", ",71,", ",71 mm,", "measurement-not-number"},
		{"measurementorfact.csv", "-", "_", "coreid-lost"},
		{"eml.xml", "<surName>Wren</surName>", "", "eml-schema"},
		{"eml.xml", "0077-4738", "0077-4739", "orcid-invalid"},
	} {
		dir, counts := written(t, 3)
		path := filepath.Join(dir, "darwin-core", c.file)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		changed := strings.Replace(string(b), c.old, c.new, 1)
		if changed == string(b) {
			t.Fatalf("%s holds no %q", c.file, c.old)
		}
		if err := os.WriteFile(path, []byte(changed), 0o644); err != nil {
			t.Fatal(err)
		}
		found, err := prove.Archive(context.Background(), filepath.Join(dir, "darwin-core"), counts, prove.Options{})
		var refused *prove.RefusedError
		if !errors.As(err, &refused) {
			t.Errorf("%s: %v", c.rule, err)
		}
		if !slices.ContainsFunc(found, func(f record.Finding) bool { return f.Rule == c.rule }) {
			t.Errorf("%s is not among %v", c.rule, found)
		}
	}
}

func TestRowsLost(t *testing.T) {
	dir, counts := written(t, 3)
	counts.Measurements++
	_, err := prove.Archive(context.Background(), filepath.Join(dir, "darwin-core"), counts, prove.Options{})
	if err == nil || !strings.Contains(err.Error(), "7 rows were written, but 6 are there") {
		t.Errorf("a lost row gives %v", err)
	}
}

func TestVisit(t *testing.T) {
	dir, _ := written(t, 3)
	var rows []string
	o := prove.Options{Visit: func(r *prove.Row) error {
		rows = append(rows, fmt.Sprintf("%v %d %d %s%s", r.Core, r.Number, r.Line, r.Get("scientificName"), r.Get("measurementValue")))
		return nil
	}}
	result, err := prove.Path(context.Background(), filepath.Join(dir, "darwin-core.zip"), o)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"true 1 2 Rana luteiventris", "true 2 3 Rana luteiventris", "true 3 4 Rana luteiventris",
		"false 1 2 71", "false 2 3 <0.5", "false 3 4 71", "false 4 5 <0.5", "false 5 6 71", "false 6 7 <0.5"}
	if !slices.Equal(rows, want) {
		t.Errorf("visited %q", rows)
	}
	if len(result.Parts) != 2 || result.Parts[0].Rows != 3 || result.Parts[1].Rows != 6 {
		t.Errorf("parts %+v", result.Parts)
	}
}

func ExamplePath() {
	dir, _ := os.MkdirTemp("", "prove")
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "frogs.csv")
	os.WriteFile(path, []byte("occurrenceID,scientificname,eventDate,decimalLatitude\n1,Rana pretiosa,2021-06-31,49.1\n1,Rana pretiosa,2021-06-12,49.1\n"), 0o644)
	result, err := prove.Path(context.Background(), path, prove.Options{})
	if err != nil {
		fmt.Println(err)
	}
	for _, f := range result.Findings {
		fmt.Println(strings.TrimSpace(fmt.Sprint(f.At.Row, " ", f.Rule, " ", f.Field, " ", f.Suggestion)))
	}
	// Output:
	// 2 value-not-date eventDate
	// 3 id-twice id
	// 1 heading-unknown scientificname scientificName
	// 2 values-disagree decimalLatitude
	// 3 values-disagree decimalLatitude
}
