package pipeline_test

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// columnsOfToads are the columns of a sheet, and what usually stands in them.
var columnsOfToads = [][3]string{ // heading, meaning, usual text
	{"No", "term: recordNumber", ""}, {"Cat", "term: catalogNumber", "7"}, {"Mark", "term: organismID", ""},
	{"Date", "term: eventDate", "2024-05-02"}, {"Time", "term: eventTime", "21:10"}, {"By", "term: recordedBy", "I. Varga"},
	{"Checked by", "term: identifiedBy", "T. Okafor"}, {"How", "term: samplingProtocol", "by hand"}, {"County", "term: county", "Lanark"},
	{"Province", "term: stateProvince", "Ontario"}, {"Country", "term: country", "Canada"}, {"Place", "term: locality", "Heron Bluff"},
	{"Elev", "term: minimumElevationInMeters", "131"}, {"Lat", "term: decimalLatitude", "45.51237"}, {"Lon", "term: decimalLongitude", "-76.30418"},
	{"Species", "term: scientificName", "Anaxyrus americanus"}, {"Common", "term: vernacularName", "American toad"}, {"Sure", "term: identificationQualifier", ""},
	{"Sex", "term: sex", "F"}, {"Stage", "term: lifeStage", "adult"}, {"Breeding", "term: reproductiveCondition", ""}, {"Count", "term: individualCount", "1"},
	{"Kept", "term: preparations", ""}, {"Measured by", "term: measurementDeterminedBy", "I. Varga"}, {"SVL", "measurement: snoutVentLength, unit: mm, instrument: caliper", "71.2"}, {"Tibia", "measurement: tibiaLength, unit: mm", "27.1"},
	{"Gross", "weighing: gross, unit: g", "41.5"}, {"Tare", "weighing: tare, unit: g", "3.5"}, {"Bag", "weighing: bag", "B1"}, {"Scale", "weighing: scale", ""},
	{"Notes", "term: occurrenceRemarks", ""}, {"Aside", "aside: of the team", ""}, {"Label", "", ""},
}

// namingTexts are words and coordinates of a place that stand in no column of places.
var (
	namingTexts  = []string{"Quillfen Hollow", "45.98765", "Quillfen", "at Quillfen Hollow 45.98765 N 76.54321 W", "F (Quillfen)", "45°59'15.5\"N", "7 Quillfen"}
	namedSecrets = []string{"quillfen", "45.9876", "45.9877", "45,9876", "45°59", "45 59 15", "76.5432"}
)

// toads is a survey in which each cell of one capture names a place in turn, and
// of another the row has moved by a column.
func toads(t *testing.T) string {
	dir := t.TempDir()
	var survey, sheet strings.Builder
	text := heron["survey.yaml"]
	survey.WriteString(strings.Replace(strings.Replace(text[:strings.Index(text, "  headings:")], "sites: sites.csv, ", "", 1),
		"[{file: frogs.csv, layout: {headingRow: 5}}, {file: pond.csv}]", "[{file: toads.csv, weighing: {way: same-row, unit: g}}, {file: moved.csv, weighing: {way: same-row, unit: g}}]", 1))
	survey.WriteString("  headings:\n")
	var headings, usual []string
	for _, c := range columnsOfToads {
		headings, usual = append(headings, c[0]), append(usual, c[2])
		if c[1] != "" {
			fmt.Fprintf(&survey, "    - {heading: %q, %s}\n", c[0], c[1])
		}
	}
	row := func(number int, cells []string) string {
		cells = slices.Clone(cells)
		if cells[0] == "" {
			cells[0] = fmt.Sprint(number)
		}
		for i := range cells {
			cells[i] = `"` + strings.ReplaceAll(cells[i], `"`, `""`) + `"`
		}
		return strings.Join(cells, ",") + "\n"
	}
	public := slices.Clone(usual)
	at := func(heading string) int { return slices.Index(headings, heading) }
	public[at("Species")], public[at("Common")], public[at("Place")] = "Lithobates pipiens", "", "Tern Slough"
	public[at("Lat")], public[at("Lon")], public[at("Elev")] = "45.4181", "-76.1969", "12"
	sheet.WriteString(strings.Join(headings, ",") + "\n")
	n := 0
	for i := range headings {
		for _, text := range namingTexts {
			n++
			cells := slices.Clone(usual)
			cells[at("SVL")], cells[at("Tibia")] = fmt.Sprintf("%d.%d", 65+n%13, n%10), fmt.Sprintf("%d.%d", 25+n%5, n%10)
			cells[i] = text
			sheet.WriteString(row(n, cells))
		}
		n++
		sheet.WriteString(row(n, public))
	}
	write(t, filepath.Join(dir, "toads.csv"), sheet.String())
	moved := slices.Insert(slices.Clone(usual), at("County"), "Quillfen Hollow")
	moved[at("Place")+1], moved[at("Lat")+1], moved[at("Lon")+1] = "Quillfen Hollow", "45.98765", "-76.54321"
	neighbour := slices.Clone(public)
	neighbour[at("Place")], neighbour[at("Lat")], neighbour[at("Lon")] = "Quillfen Hollow", "45.98765", "-76.54321"
	write(t, filepath.Join(dir, "moved.csv"), strings.Join(headings, ",")+"\n"+row(901, neighbour)+row(902, moved)+row(903, neighbour))
	write(t, filepath.Join(dir, "survey.yaml"), survey.String())
	write(t, filepath.Join(dir, "checklist.csv"), heron["checklist.csv"])
	write(t, filepath.Join(dir, "sensitive.csv"), "taxon,grid,reason\nAnaxyrus americanus,0.1,collected for trade\n")
	return dir
}

// A place that stands in a cell of a hidden capture, whatever its column is for,
// is in no output, at any size of parts.
func TestNoOutputTellsAPlaceInAnyCell(t *testing.T) {
	ctx, dir := context.Background(), toads(t)
	for _, parts := range []pipeline.Options{{}, pipeline.InParts(1, 64), pipeline.InParts(1, 2048)} {
		out := t.TempDir()
		o := parts
		o.Told = func(r *pipeline.Result) error {
			for _, s := range tells(continuousFiles(t, dir, r), namedSecrets) {
				t.Error(s)
			}
			return nil
		}
		r, err := pipeline.Run(ctx, dir, out, o)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range tells(outputs(t, out), namedSecrets) {
			t.Error(s)
		}
		named, hidden := 0, 0
		for _, o := range rows(t, filepath.Join(out, "darwin-core", "occurrence.csv")) {
			if o["informationWithheld"] != "" {
				hidden++
			}
			if o["informationWithheld"] != "" && o["scientificName"] != "" && o["recordedBy"] == "I. Varga" && o["sex"] == "female" && o["eventDate"] != "" {
				named++
			}
		}
		if hidden != len(namingTexts)*len(columnsOfToads)+3 || named < hidden*3/4 {
			t.Errorf("%d captures are hidden, %d with what may be told", hidden, named)
		}
		for _, f := range r.Findings {
			if f.Rule == "sensitive-rows-moved" && (f.At.File != "moved.csv" || f.At.Row != 3 || len(f.Also) > 0) {
				t.Errorf("%+v", f)
			}
		}
		if _, err := pipeline.Check(ctx, dir, o); err != nil {
			t.Fatal(err)
		}
		compared := t.TempDir()
		if _, err := pipeline.Observe(ctx, dir, compared, parts); err != nil {
			t.Fatal(err)
		}
		for _, s := range tells(outputs(t, compared), namedSecrets) {
			t.Error("observers: " + s)
		}
	}
	p, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: 1}, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range tells(map[string]string{"remedies": read(t, p.Path)}, namedSecrets) {
		t.Error(s)
	}
}

// continuousFiles are what a run writes for continuous integration.
func continuousFiles(t *testing.T, dir string, r *pipeline.Result) map[string]string {
	t.Helper()
	out := map[string]string{}
	results, err := r.Results(dir, "test", nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, write := range map[string]func(*bytes.Buffer) error{
		"sarif":    func(b *bytes.Buffer) error { return report.SARIF(b, results) },
		"junit":    func(b *bytes.Buffer) error { return report.JUnit(b, results) },
		"markdown": func(b *bytes.Buffer) error { return report.Markdown(b, results) },
		"known":    func(b *bytes.Buffer) error { return report.WriteKnown(b, results.Findings, nil) },
		"csv": func(b *bytes.Buffer) error {
			return report.EachFindingCSV(b, func(yield func(record.Finding) bool) {
				for f, err := range r.Each() {
					if err != nil || !yield(f) {
						return
					}
				}
			})
		},
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		if b.Len() == 0 {
			t.Errorf("%s is empty", name)
		}
		out[name] = b.String()
	}
	return out
}
