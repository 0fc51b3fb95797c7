package pipeline_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
	"spadefoot/pipeline/observers"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/schemas"
)

var observersFiles = []string{"observers.csv", "agreement.csv", "observers.json", "observers.html"}

func observe(t *testing.T, folder, out string) *pipeline.Observed {
	t.Helper()
	r, err := pipeline.Observe(context.Background(), folder, out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(r.Written, observersFiles) {
		t.Errorf("written: %q", r.Written)
	}
	return r
}

func training(t *testing.T) string { return filepath.Join(need.Root(t), "testdata", "training") }

// Every planted habit is found with its size and on its measurement alone, and
// whoever has none passes.
func TestTrainingFindsTheHabits(t *testing.T) {
	r := observe(t, training(t), t.TempDir())
	f, err := os.Open(filepath.Join(training(t), "planted.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) != 5 || len(r.Observers) != 4 {
		t.Fatalf("%v, %d lines, %d observers", err, len(lines), len(r.Observers))
	}
	for _, l := range lines[1:] {
		i := slices.IndexFunc(r.Observers, func(o observers.Observer) bool { return o.Name == l[0] })
		if i < 0 {
			t.Fatalf("no observer %s", l[0])
		}
		o := r.Observers[i]
		if l[2] == "none" {
			if !o.Passed || len(o.Practise) != 0 {
				t.Errorf("%s has no habit and does not pass: %q", o.Name, o.Practise)
			}
			continue
		}
		size, _ := strconv.ParseFloat(l[3], 64)
		for _, sc := range o.Scores {
			var failing []string
			for _, c := range sc.Criteria {
				if !c.Pass {
					failing = append(failing, c.Name)
				}
			}
			want := map[string]string{"bias": observers.BiasOf, "scatter": observers.Repeats}[l[2]]
			switch {
			case sc.Measurement != l[1]:
				if sc.Verdict != observers.Pass {
					t.Errorf("%s, %s: %s on %q", o.Name, sc.Measurement, sc.Verdict, failing)
				}
			case !slices.Equal(failing, []string{want}):
				t.Errorf("%s, %s: fails on %q, want %s", o.Name, sc.Measurement, failing, want)
			case l[2] == "bias" && (sc.Bias.Bias.Low > size || sc.Bias.Bias.High < size):
				t.Errorf("%s: planted a bias of %v, found %+v", o.Name, size, sc.Bias.Bias)
			case l[2] == "scatter" && (sc.Within.Low > size || sc.Within.High < size):
				t.Errorf("%s: planted a scatter of %v, found %+v", o.Name, size, sc.Within)
			}
		}
		if len(o.Practise) != 1 {
			t.Errorf("%s should practise one thing: %q", o.Name, o.Practise)
		}
	}
}

var styleSheets = regexp.MustCompile(`(?s)<style>.*?</style>`)

// The outputs are held against golden files, the style sheets of the page
// apart; a second run gives the same bytes over the first.
func TestTrainingGolden(t *testing.T) {
	out := t.TempDir()
	observe(t, training(t), out)
	first := map[string][]byte{}
	for _, name := range observersFiles {
		first[name] = readAll(t, filepath.Join(out, name))
	}
	observe(t, training(t), out)
	for _, name := range observersFiles {
		if !bytes.Equal(readAll(t, filepath.Join(out, name)), first[name]) {
			t.Errorf("%s: the second run gives other bytes", name)
		}
		got := styleSheets.ReplaceAll(first[name], nil)
		path := filepath.Join(need.Root(t), "testdata", "golden", "training", name)
		if *update {
			if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, got, 0o644)); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if want := readAll(t, path); !bytes.Equal(got, want) {
			t.Errorf("%s differs from its golden file at byte %d; if it should, run go test ./pipeline -run Golden -update and read the difference", name, firstDifference(got, want))
		}
	}
	if entries, err := os.ReadDir(out); err != nil || len(entries) != len(observersFiles) {
		t.Errorf("%v, %d entries", err, len(entries))
	}
}

func readAll(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func holds(t *testing.T, path string) {
	t.Helper()
	schema, err := schemas.Files.ReadFile("observers.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	res, err := gojsonschema.Validate(gojsonschema.NewBytesLoader(schema), gojsonschema.NewBytesLoader(readAll(t, path)))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range res.Errors() {
		t.Errorf("%s: %s", path, e)
	}
}

const observersHeader = `dataset: {id: "https://marrow-creek.invalid/wide", title: Wide, description: Invented., licence: "https://creativecommons.org/publicdomain/zero/1.0/legalcode", creators: [{family: Varga}]}
defaults: {basisOfRecord: HumanObservation}
sheets: [{file: frogs.csv}]
`

func folderWith(t *testing.T, survey string, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	files["survey.yaml"] = survey
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// One row an animal and a column an observer: the heading says who measured,
// in the comparison and in the archive.
func TestColumnsOfObservers(t *testing.T) {
	dir := folderWith(t, observersHeader+`mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: Date, term: eventDate}
    - {heading: Mark, term: organismID}
    - {pattern: 'SVL (?P<observer>IV|AO)(?P<replicate>\d)?', measurement: snoutVentLength, words: {IV: I. Varga, AO: A. Osei}}
    - {heading: Eye by Osei, measurement: eyeDiameter, observer: A. Osei}
rules: {observers: {instructor: I. Varga, lines: [{measurement: snoutVentLength, bias: 1}]}}
`, map[string]string{"frogs.csv": `No,Species,Date,Mark,SVL IV,SVL AO1,SVL AO2,Eye by Osei
1,Rana temporaria,2024-05-18,A1,61.2,62.2,62.3,6.1
2,Rana temporaria,2024-05-18,A2,58.4,59.3,59.5,5.9
3,Rana temporaria,2024-05-18,A3,70.1,71.0,71.1,7.0
4,Rana temporaria,2024-05-18,A4,66.0,67.1,66.9,6.4
5,Rana temporaria,2024-05-18,A5,49.3,50.2,50.4,5.1
6,Rana temporaria,2024-05-18,A6,53.8,54.9,54.7,5.6
`})
	out := t.TempDir()
	r := observe(t, dir, out)
	holds(t, filepath.Join(out, "observers.json"))
	if len(r.Observers) != 2 || r.Observers[0].Name != "A. Osei" || r.Observers[1].Name != "I. Varga" {
		t.Fatalf("observers: %+v", r.Observers)
	}
	sc := r.Observers[0].Scores[1]
	if sc.Measurement != "snoutVentLength" || sc.Readings != 12 || sc.Reference != "readings by I. Varga" || sc.Bias.Bias.Value < .9 || sc.Bias.Bias.Value > 1.1 || sc.Verdict != observers.Fail {
		t.Errorf("%+v", sc)
	}
	published := t.TempDir()
	if _, err := pipeline.Run(context.Background(), dir, published, pipeline.Options{Version: "test"}); err != nil {
		t.Fatal(err)
	}
	facts := string(readAll(t, filepath.Join(published, "darwin-core", "measurementorfact.csv")))
	if strings.Count(facts, "A. Osei") != 18 || strings.Count(facts, "I. Varga") != 6 {
		t.Errorf("measurementDeterminedBy is not the observer of the column:\n%s", facts)
	}
	if captures := string(readAll(t, filepath.Join(published, "captures.csv"))); !strings.Contains(captures, "snoutVentLength by A. Osei 2 (mm)") {
		t.Errorf("captures.csv: %.400s", captures)
	}
}

// A survey without repeats is not a failure: the finding says what is missing.
func TestNothingToCompare(t *testing.T) {
	dir := folderWith(t, observersHeader+`mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Observer, term: recordedBy}
    - {heading: Mark, term: organismID}
    - {heading: SVL, measurement: snoutVentLength}
`, map[string]string{"frogs.csv": "No,Observer,Mark,SVL\n1,I. Varga,A1,61.2\n2,,A2,58.4\n3,A. Osei,,70.1\n"})
	out := t.TempDir()
	r := observe(t, dir, out)
	holds(t, filepath.Join(out, "observers.json"))
	i := slices.IndexFunc(r.Findings, func(f record.Finding) bool { return f.Rule == "nothing-to-compare" })
	if i < 0 || r.Findings[i].At.File != "frogs.csv" || !strings.Contains(r.Findings[i].Reason, "Rows: 3; without an individual: 1; without a clear observer: 1.") {
		t.Errorf("%+v", r.Findings)
	}
	page := string(readAll(t, filepath.Join(out, "observers.html")))
	for _, s := range []string{"no verdict", "Nobody can be assessed.", "not enough readings"} {
		if !strings.Contains(page, s) {
			t.Errorf("the page does not say %q", s)
		}
	}
}

// What is wrong with the settings or the known sizes is named with its place,
// and what was written before stays.
func TestObserversMistakes(t *testing.T) {
	mapping := "mapping: {key: [recordNumber], headings: [{heading: No, term: recordNumber}, {heading: SVL, measurement: snoutVentLength}]}\n"
	known := observersHeader + "tables: {known: known.csv}\n" + mapping
	sheet := "No,SVL\n1,61.2\n2,60.1\n"
	for _, c := range []struct {
		name, survey, known string
		says                []string
		input               bool
	}{
		{"measurement", known, "individual,measurement,value,unit\nm,snoutVentLenght,61,mm\n", []string{`known.csv, line 2, column measurement: found "snoutVentLenght"`, `did you mean "snoutVentLength"`}, true},
		{"unit", known, "# sizes\nindividual,measurement,value,unit\nm,SVL,61,ells\n", []string{`known.csv, line 3, column unit: found "ells"`}, true},
		{"dimension", known, "individual,measurement,value,unit\nm,SVL,61,g\n", []string{"line 2, column unit", "measured in mm"}, true},
		{"number", known, "individual,measurement,value,unit\nm,SVL,about,mm\n", []string{"known.csv, line 2, column value"}, true},
		{"file", known, "", []string{"key tables.known", `"known.csv", and there is no such file`}, true},
		{"key", observersHeader + mapping + "rules: {observers: {instuctor: I. Varga}}\n", "", []string{"line 5", "rules.observers.instuctor", `did you mean "instructor"`}, false},
		{"line", observersHeader + mapping + "rules:\n  observers:\n    lines:\n      - {measurement: eyeDiametre, bias: 2}\n", "", []string{"line 8", "rules.observers.lines.0.measurement", `did you mean "eyeDiameter"`}, false},
		{"lines", observersHeader + mapping + "rules: {observers: {lines: [{bias: 2}, {bias: 3}]}}\n", "", []string{"rules.observers.lines.1", "second line"}, false},
	} {
		files := map[string]string{"frogs.csv": sheet}
		if c.known != "" {
			files["known.csv"] = c.known
		}
		out := t.TempDir()
		earlier := filepath.Join(out, "observers.csv")
		if err := os.WriteFile(earlier, []byte("earlier"), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := pipeline.Observe(context.Background(), folderWith(t, c.survey, files), out, pipeline.Options{})
		var input *pipeline.InputError
		var mistakes config.Mistakes
		if err == nil || errors.As(err, &input) != c.input || errors.As(err, &mistakes) == c.input {
			t.Errorf("%s: %T %v", c.name, err, err)
			continue
		}
		for _, s := range c.says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%s: the error does not say %q: %v", c.name, s, err)
			}
		}
		if entries, _ := os.ReadDir(out); len(entries) != 1 || string(readAll(t, earlier)) != "earlier" {
			t.Errorf("%s: the earlier output changed", c.name)
		}
	}
}
