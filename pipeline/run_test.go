package pipeline_test

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/report/findings"
	"spadefoot/schemas"
)

func runDemo(t *testing.T, out string) *pipeline.Result {
	t.Helper()
	r, err := pipeline.Run(context.Background(), filepath.Join(need.Root(t), "testdata", "demo"), out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestRunWritesWhatTheContractSays(t *testing.T) {
	out := t.TempDir()
	r := runDemo(t, out)
	got := files(t, out)
	want := []string{
		"darwin-core/occurrence.csv", "darwin-core/measurementorfact.csv", "darwin-core/meta.xml", "darwin-core/eml.xml",
		"darwin-core.zip", "findings.csv", "findings.json", "captures.csv", "report.html", "run.json",
		"results/sexes.csv", "results/catch.csv", "results/nights.csv", "results/animals.csv", "results/left-out.csv", "results/columns.csv",
	}
	for _, measurement := range []string{"snoutVentLength", "tibiaLength", "headWidth", "eyeDiameter", "tympanumDiameter", "bodyMass", "scaledMassIndex", "conditionResidual"} {
		for _, table := range []string{"sizes", "classes", "changes"} {
			want = append(want, "results/"+table+"-"+measurement+".csv")
		}
	}
	for _, name := range want {
		if len(got[name]) == 0 {
			t.Errorf("%s is missing or empty", name)
		}
		delete(got, name)
	}
	for name := range got {
		t.Errorf("%s was written, the contract does not name it", name)
	}
	validArchive(t, filepath.Join(out, "darwin-core"))
	sameAsZip(t, out)
	validFindings(t, filepath.Join(out, "findings.json"))
	findingsAgree(t, out, r)
}

func sameAsZip(t *testing.T, out string) {
	t.Helper()
	z, err := zip.OpenReader(filepath.Join(out, "darwin-core.zip"))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	folder := files(t, filepath.Join(out, "darwin-core"))
	for _, f := range z.File {
		rc, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if _, err := b.ReadFrom(rc); err != nil {
			t.Fatal(err)
		}
		rc.Close()
		if !bytes.Equal(b.Bytes(), folder[f.Name]) {
			t.Errorf("%s differs between the folder and the zip", f.Name)
		}
		delete(folder, f.Name)
	}
	for name := range folder {
		t.Errorf("%s is not in the zip", name)
	}
}

func validFindings(t *testing.T, path string) {
	t.Helper()
	text, err := schemas.Files.ReadFile("findings.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	res, err := gojsonschema.Validate(gojsonschema.NewBytesLoader(text), gojsonschema.NewBytesLoader(doc))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range res.Errors() {
		t.Errorf("findings.json: %s", e)
	}
}

// findingsIn reads findings.csv back: level and rule of each finding, in order.
func findingsIn(r io.Reader) (levels, rules []string, err error) {
	rows, err := csv.NewReader(r).ReadAll()
	if err != nil {
		return nil, nil, err
	}
	level, rule := slices.Index(rows[0], "level"), slices.Index(rows[0], "rule")
	for _, row := range rows[1:] {
		levels, rules = append(levels, row[level]), append(rules, row[rule])
	}
	return levels, rules, nil
}

// CSV, JSON and run.json hold the same findings, and every rule is described.
func findingsAgree(t *testing.T, out string, r *pipeline.Result) {
	t.Helper()
	f, err := os.Open(filepath.Join(out, "findings.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	levels, rules, err := findingsIn(f)
	if err != nil {
		t.Fatal(err)
	}
	var run struct {
		Findings findings.Counts `json:"findings"`
		Counts   pipeline.Counts `json:"counts"`
	}
	readJSON(t, filepath.Join(out, "run.json"), &run)
	var all struct {
		Counts   findings.Counts   `json:"counts"`
		Findings []json.RawMessage `json:"findings"`
	}
	readJSON(t, filepath.Join(out, "findings.json"), &all)
	if len(levels) != len(r.Findings) || len(all.Findings) != len(r.Findings) || run.Findings != all.Counts || all.Counts != findings.Count(r.Findings) {
		t.Errorf("findings: %d in CSV, %d in JSON, %v in run.json, %d found", len(levels), len(all.Findings), run.Findings, len(r.Findings))
	}
	if run.Counts.TableRows != run.Counts.Occurrences || run.Counts.Captures != run.Counts.Occurrences {
		t.Errorf("counts do not add up: %+v", run.Counts)
	}
	known := map[string]bool{}
	list, err := schemas.Rules()
	if err != nil {
		t.Fatal(err)
	}
	for _, rule := range list {
		known[rule.Code] = true
	}
	for _, rule := range rules {
		if !known[rule] {
			t.Errorf("rule %s stands in no file of schemas/rules", rule)
		}
	}
}

func readJSON(t *testing.T, path string, v any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, v); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	a, b := t.TempDir(), t.TempDir()
	runDemo(t, a)
	runDemo(t, b)
	runDemo(t, b) // over what is there
	first, second := files(t, a), files(t, b)
	if len(first) != len(second) {
		t.Fatalf("%d files and %d files", len(first), len(second))
	}
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s differs between two runs", name)
		}
	}
}

// Identifiers stay when rows move and other rows come and go.
func TestIdentifiersStayWhenRowsMove(t *testing.T) {
	write := func(rows string) map[string]string {
		dir := t.TempDir()
		put(t, dir, "survey.yaml", smallSurvey)
		put(t, dir, "frogs.csv", "Field No,Species,SVL\n"+rows)
		r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		ids := map[string]string{}
		for _, c := range r.Captures {
			ids[c.Key] = c.ID
		}
		return ids
	}
	a := write("1,Rana temporaria,61\n2,Rana temporaria,58\n3,Rana temporaria,70\n")
	b := write("9,Rana temporaria,66\n3,Rana temporaria,70.5\n1,Rana temporaria,61\n")
	if a["1"] != b["1"] || a["3"] != b["3"] || a["1"] == a["2"] {
		t.Errorf("%v and %v", a, b)
	}
}

const smallSurvey = `dataset:
  id: https://marrow-creek.invalid/small
  title: A small sheet
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
sheets:
  - file: frogs.csv
mapping:
  key: [recordNumber]
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
`

// What tests of files do all the time.
var files, put = need.Files, need.Put

func TestAnInterruptLeavesEarlierOutputIntact(t *testing.T) {
	out := t.TempDir()
	runDemo(t, out)
	before := files(t, out)
	for _, stage := range []string{"read", "screen", "standardise", "prove", "report"} {
		ctx, cancel := context.WithCancel(context.Background())
		_, err := pipeline.Run(ctx, filepath.Join(need.Root(t), "testdata", "demo"), out, pipeline.Options{
			Version: "another", Progress: func(s string) {
				if s == stage {
					cancel()
				}
			}})
		cancel()
		if !errors.Is(err, context.Canceled) {
			t.Errorf("%s: got %v", stage, err)
		}
		after := files(t, out)
		if len(after) != len(before) {
			t.Errorf("%s: %d files before, %d after", stage, len(before), len(after))
		}
		for name := range before {
			if !bytes.Equal(before[name], after[name]) {
				t.Errorf("%s: %s changed", stage, name)
			}
		}
	}
}

func TestACrashedExchangeIsTurnedBack(t *testing.T) {
	out := t.TempDir()
	runDemo(t, out)
	before := files(t, out)
	// as a crash in the middle of the exchange would leave it
	if err := os.MkdirAll(filepath.Join(out, ".spadefoot-run", "replaced"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(out, "findings.csv"), filepath.Join(out, ".spadefoot-run", "replaced", "findings.csv")); err != nil {
		t.Fatal(err)
	}
	put(t, out, "findings.csv", "half")
	put(t, filepath.Join(out, ".spadefoot-run"), "exchange", "findings.csv")
	if err := os.Mkdir(filepath.Join(out, ".spadefoot-run", "prepared"), 0o755); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := pipeline.Run(ctx, filepath.Join(need.Root(t), "testdata", "demo"), out, pipeline.Options{}); !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v", err)
	}
	after := files(t, out)
	if !bytes.Equal(before["findings.csv"], after["findings.csv"]) || len(after) != len(before) {
		t.Errorf("%d files before, %d after; findings.csv restored: %v", len(before), len(after), bytes.Equal(before["findings.csv"], after["findings.csv"]))
	}
}
