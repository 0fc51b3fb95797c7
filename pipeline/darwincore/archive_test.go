package darwincore_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/testdata/readback"
)

func dataset() darwincore.Dataset {
	return darwincore.Dataset{
		ID: "https://marrowcreek.example/frogs", Title: "Frogs of Marrow Creek <2021>", Description: "Frogs & toads.\n\nTwo seasons.",
		Language: "en", Licence: "CC BY 4.0", RightsHolder: "Marrow Creek Field Station", Country: "Canada", CountryCode: "CA",
		Keywords: []string{"frogs", "body mass"}, Permits: "Permit 21-004", Ethics: "Animals were held for two minutes at most.",
		Citation: "Wren A (2021) Frogs of Marrow Creek.", Funding: "None.", Purpose: "Condition over years.", URL: "https://marrowcreek.example/data",
		Sampling: "Two people walked the shore after dark.", Quality: []string{"Values were compared with their group."}, Version: "2",
		Creators:    []darwincore.Person{{Given: "Ada", Family: "Wren", Organisation: "Marrow Creek Field Station", Email: "ada@marrowcreek.example", ORCID: "0000-0003-0077-4738"}},
		Contacts:    []darwincore.Person{{Organisation: "Marrow Creek Field Station", Position: "Data manager", Country: "CA"}},
		Associates:  []darwincore.Person{{Family: "Stone", Role: "field assistant"}},
		Publisher:   darwincore.Person{Organisation: "Marrow Creek Press"},
		Defaults:    map[string]string{"institutionCode": "MCFS", "continent": "North America"},
		Instruments: []darwincore.Instrument{{Name: "scale 60", Kind: "spring scale", Unit: "g", Graduation: 0.5, Capacity: 60}, {Name: "caliper", Kind: "dial caliper", Unit: "mm", Graduation: 0.1}},
	}
}

func at(row, column int) record.Address {
	return record.Address{File: "frogs.csv", Row: row, Column: column}
}

func capture(n int) *record.Capture {
	key := fmt.Sprintf("MC-%03d", n)
	c := &record.Capture{
		ID: darwincore.OccurrenceID("https://marrowcreek.example/frogs", key), Key: key, File: "frogs.csv", Row: n + 1, Session: "2021-06-12 Beaver Pond",
		Values: []record.Value{
			{Field: record.Of("catalogNumber"), Text: key, Verbatim: key},
			{Field: record.Of("eventDate"), Text: "2021-06-12", Verbatim: "12.6.21"},
			{Field: record.Of("scientificName"), Text: "Rana luteiventris", Verbatim: "R. luteiventris"},
			{Field: record.Of("kingdom"), Text: "Animalia"}, {Field: record.Of("class"), Text: "Amphibia"}, {Field: record.Of("genus"), Text: "Rana"},
			record.Value{Field: record.Of("sex"), Text: "male", Verbatim: "M"}.At(at(n+1, 5)),
			{Field: record.Of("decimalLatitude"), Text: "51.25"}, {Field: record.Of("decimalLongitude"), Text: "-116.5"},
			{Field: record.Of("recordedBy"), Text: "Ada Wren"},
		},
		Readings: []record.Reading{
			record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", WrittenUnit: "[in_i]", Instrument: "caliper", Replicate: 1}, Number: 71, Text: "71", Verbatim: "2.8", Accuracy: 0.123}.At(at(n+1, 6)),
			record.Reading{Series: &record.Series{Measurement: "snoutVentLength", Unit: "mm", Instrument: "caliper", Replicate: 2}, Number: 71.5, Text: "71.5", Verbatim: "71.5"}.At(at(n+1, 7)),
			{Series: &record.Series{Measurement: "tibiaLength"}, State: record.Missing, Verbatim: "-"},
			{Series: &record.Series{Measurement: "footLength"}, State: record.Unread, Verbatim: "see photo"},
			record.Reading{Series: &record.Series{Measurement: "woundLength", Unit: "mm"}, State: record.Below, Number: 0.5, Text: "0.5", Verbatim: "<0.5"}.At(at(n+1, 9)),
			record.Reading{Series: &record.Series{Measurement: "headWidth", Unit: "mm"}, State: record.Interval, Verbatim: "20–22", Rare: &record.Rare{Low: 20, High: 22}}.At(at(n+1, 10)),
		},
		Weighing: &record.Weighing{Way: record.SameRow, Scale: "scale 60", BagLabel: "B7",
			Gross: &record.Reading{Series: &record.Series{Measurement: "grossMass", Unit: "g"}, Number: 41.5, Text: "41.5", Verbatim: "41.5"},
			Tare:  &record.Reading{Series: &record.Series{Measurement: "bagMass", Unit: "g"}, Number: 6, Text: "6.0", Verbatim: "6.0"},
			Net:   &record.Reading{Series: &record.Series{Measurement: "bodyMass", Unit: "g", Derived: true}, Number: 35.5, Text: "35.5", Accuracy: 0.40825},
		},
		Extras:  []record.Extra{{Heading: "Weather", Text: "rain, 9 °C", From: at(n+1, 12)}},
		Remarks: []string{"toe missing", "photo \"3\""},
	}
	return c
}

func write(t *testing.T, dir string, captures ...*record.Capture) darwincore.Counts {
	t.Helper()
	counts, err := readback.Write(dir, dataset(), label, slices.Values(captures))
	if err != nil {
		t.Fatal(err)
	}
	return counts
}

func label(name string) string {
	return map[string]string{"snoutVentLength": "snout-vent length", "bodyMass": "body mass"}[name]
}

func TestWriteArchive(t *testing.T) {
	dir := t.TempDir()
	counts := write(t, dir, capture(1), capture(2), capture(3))
	if want := (darwincore.Counts{Occurrences: 3, Measurements: 21}); counts != want {
		t.Errorf("counts %+v, want %+v", counts, want)
	}
	rows := readCSV(t, filepath.Join(dir, "darwin-core", "occurrence.csv"))
	if want := "occurrenceID,dynamicProperties,recordedBy,individualCount,sex,occurrenceRemarks,catalogNumber,eventID,eventDate,verbatimEventDate,decimalLatitude,decimalLongitude,verbatimIdentification,scientificName,kingdom,class,genus"; strings.Join(rows[0], ",") != want {
		t.Errorf("header %s\nwant   %s", strings.Join(rows[0], ","), want)
	}
	for term, want := range map[string]string{
		"occurrenceID":      capture(1).ID,
		"verbatimEventDate": "12.6.21", "occurrenceRemarks": `toe missing | photo "3"`,
		"dynamicProperties": `{"Weather":"rain, 9 °C","bag":"B7","unread":{"footLength":"see photo"},"verbatim":{"sex":"M"}}`,
	} {
		if got := rows[1][slices.Index(rows[0], term)]; got != want {
			t.Errorf("%s is %q, want %q", term, got, want)
		}
	}
	meta, err := os.ReadFile(filepath.Join(dir, "darwin-core", "meta.xml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`<field term="http://purl.org/dc/terms/license" default="http://creativecommons.org/licenses/by/4.0/legalcode">`,
		`<field term="http://rs.tdwg.org/dwc/terms/occurrenceStatus" default="present">`,
	} {
		if !strings.Contains(string(meta), want) {
			t.Errorf("meta.xml does not say %s", want)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("the folder holds %v, want darwin-core and darwin-core.zip only", entries)
	}
}

func TestMeasurements(t *testing.T) {
	rows := darwincore.NewRowBuilder(dataset(), label).Measurements(capture(1))
	type m struct{ kind, value, unit, accuracy, method, remarks string }
	var got []m
	ids := map[string]bool{}
	for _, r := range rows {
		ids[r.Get("measurementID")] = true
		got = append(got, m{r.Get("measurementType"), r.Get("measurementValue"), r.Get("measurementUnit"), r.Get("measurementAccuracy"), r.Get("measurementMethod"), r.Get("measurementRemarks")})
		who := "Ada Wren"
		if strings.Contains(r.Get("measurementMethod"), "computed") {
			who = "" // nobody determined it
		}
		if unit := r.Get("measurementUnitID"); unit != "" {
			t.Errorf("measurementUnitID %q, which mappings/units.csv does not give", unit)
		}
		if r.Get("measurementDeterminedBy") != who || r.Get("measurementDeterminedDate") != "" || r.Get("occurrenceID") != capture(1).ID {
			t.Errorf("row %v lacks who, when or which", r)
		}
	}
	want := []m{
		{"snout-vent length", "71", "mm", "0.12", "caliper (dial caliper, graduation 0.1 mm); replicate 1", `as written: "2.8" in [in_i] (frogs.csv, F2)`},
		{"snout-vent length", "71.5", "mm", "", "caliper (dial caliper, graduation 0.1 mm); replicate 2", ""},
		{"woundLength", "<0.5", "mm", "", "", "less than the number given"},
		{"headWidth", "20-22", "mm", "", "", `a range was written, not one number; as written: "20–22" (frogs.csv, J2)`},
		{"grossMass", "41.5", "g", "", "scale 60 (spring scale, graduation 0.5 g, capacity 60 g)", ""},
		{"bagMass", "6.0", "g", "", "scale 60 (spring scale, graduation 0.5 g, capacity 60 g)", ""},
		{"body mass", "35.5", "g", "0.41", "scale 60 (spring scale, graduation 0.5 g, capacity 60 g); computed", ""},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
	if id := capture(1).ID + ":snoutVentLength:2"; !ids[id] {
		t.Errorf("no measurement is %s", id)
	}
	if len(ids) != len(rows) {
		t.Errorf("%d identifiers for %d rows", len(ids), len(rows))
	}
}

// TestIdentifiersStay checks that identifiers depend on the key alone and that
// two runs give the same bytes.
func TestIdentifiersStay(t *testing.T) {
	a, b := t.TempDir(), t.TempDir()
	write(t, a, capture(1), capture(2))
	write(t, b, capture(1), capture(2))
	for _, name := range []string{"darwin-core.zip", "darwin-core/occurrence.csv", "darwin-core/measurementorfact.csv", "darwin-core/meta.xml", "darwin-core/eml.xml"} {
		x, errX := os.ReadFile(filepath.Join(a, name))
		y, errY := os.ReadFile(filepath.Join(b, name))
		if errX != nil || errY != nil || !bytes.Equal(x, y) {
			t.Errorf("%s differs between two runs: %v, %v", name, errX, errY)
		}
	}
	moved := capture(2)
	moved.Row = 99
	if x, y := darwincore.NewRowBuilder(dataset(), nil).Occurrence(moved), darwincore.NewRowBuilder(dataset(), nil).Occurrence(capture(2)); x.Get("occurrenceID") != y.Get("occurrenceID") {
		t.Error("the identifier changed when the row moved")
	}
	other := dataset()
	other.ID = "https://elsewhere.example"
	bare := &record.Capture{Key: "MC-001"}
	if darwincore.NewRowBuilder(other, nil).Occurrence(bare).Get("occurrenceID") == darwincore.NewRowBuilder(dataset(), nil).Occurrence(bare).Get("occurrenceID") {
		t.Error("two datasets share an identifier")
	}
}

// TestSchemas validates meta.xml and eml.xml against the published schemas.
func TestSchemas(t *testing.T) {
	lint := need.Tool(t, "xmllint")
	meta := need.Shared(t, "standards/darwin-core/xml/tdwg_dwc_text.xsd")
	eml := need.Shared(t, "standards/eml/eml.xsd")
	bare := darwincore.Dataset{ID: "10.1234/x", Title: "T", Description: "D", Licence: "CC0 1.0", Creators: []darwincore.Person{{Organisation: "O"}}}
	full, least := t.TempDir(), t.TempDir()
	write(t, full, capture(1), capture(2))
	if _, err := readback.Write(least, bare, nil, slices.Values([]*record.Capture{{Key: "a"}})); err != nil {
		t.Fatal(err)
	}
	for _, dir := range []string{full, least} {
		for name, schema := range map[string]string{"meta.xml": meta, "eml.xml": eml} {
			path := filepath.Join(dir, "darwin-core", name)
			if out, err := exec.Command(lint, "--nonet", "--noout", "--schema", schema, path).CombinedOutput(); err != nil {
				b, _ := os.ReadFile(path)
				t.Errorf("%s: %v\n%s\n%s", name, err, out, b)
			}
		}
	}
}

func TestIncomplete(t *testing.T) {
	d := dataset()
	d.Title, d.Licence, d.Creators[0].ORCID = "", "CC BY-ND 4.0", "0000-0003-0077-4739"
	d.Defaults = map[string]string{"instituteCode": "X"}
	_, err := darwincore.Create(t.TempDir(), d, nil)
	var e *darwincore.IncompleteError
	if !errors.As(err, &e) {
		t.Fatalf("got %v, want an IncompleteError", err)
	}
	var fields []string
	for _, f := range e.Findings {
		fields = append(fields, f.Rule+" "+f.Field)
	}
	want := []string{"dataset-part-missing dataset.title", "default-no-term defaults.instituteCode", "licence-not-accepted dataset.licence", "orcid-wrong dataset.creators[0].orcid"}
	if !slices.Equal(fields, want) {
		t.Errorf("findings %q, want %q", fields, want)
	}
}

func TestNothingToWrite(t *testing.T) {
	dir := t.TempDir()
	if n := write(t, dir); n != (darwincore.Counts{}) {
		t.Errorf("counts %+v for no captures", n)
	}
	if rows := readCSV(t, filepath.Join(dir, "darwin-core", "occurrence.csv")); len(rows) != 1 || rows[0][0] != "occurrenceID" {
		t.Errorf("an empty core holds %q", rows)
	}
}

// TestAnyText checks that texts with every kind of character come back as they
// were.
func TestAnyText(t *testing.T) {
	for _, s := range []string{`say "quack"`, "a,b", "two\nlines", "tab\there", "é ü 蛙", `\.`, "'=1+1"} {
		dir := t.TempDir()
		c := capture(1)
		c.Set(record.Value{Field: record.Of("locality"), Text: s})
		write(t, dir, c)
		rows := readCSV(t, filepath.Join(dir, "darwin-core", "occurrence.csv"))
		if got := rows[1][slices.Index(rows[0], "locality")]; got != s {
			t.Errorf("wrote %q, read %q", s, got)
		}
	}
}

func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func ExampleOccurrenceID() {
	fmt.Println(darwincore.OccurrenceID("https://marrowcreek.example/frogs", "MC-001"))
	// Output: f8d03abb-6147-5598-84dd-91a34e9ed9dd
}
