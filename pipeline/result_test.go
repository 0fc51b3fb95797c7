package pipeline_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/report/findings"
	"spadefoot/schemas"
)

// What check finds in the demo is written to the files for CI without one
// finding more or less, and the known file takes all of it.
func TestFilesForCIAgreeWithTheDemo(t *testing.T) {
	folder := filepath.Join(need.Root(t), "testdata", "demo")
	r := demo(t)
	agree(t, r, folder)
	results, err := r.Results(folder, "test", nil)
	if err != nil {
		t.Fatal(err)
	}
	workbook := record.Address{File: "marrow-2023.xlsx", Sheet: "Spring", Row: 2, Column: 8}
	want := []record.Address{workbook}
	for _, f := range r.Findings {
		want = append(want, f.At)
	}
	span := results.Spans(want)
	cells := 0
	for _, f := range r.Findings {
		if f.At.Sheet == "" && f.At.Column > 0 && strings.HasSuffix(f.At.File, ".csv") {
			cells++
			if _, ok := span(f.At); !ok {
				t.Errorf("%s was not found in its line", f.At)
			}
		}
	}
	if _, ok := span(workbook); ok || cells == 0 {
		t.Errorf("%d cells of text files; a cell of the workbook has a line: %v", cells, ok)
	}
}

// The findings of the notebooks and of the penguins agree in number in every
// format as well.
func TestFormatsAgreeOnTheOtherSurveys(t *testing.T) {
	for _, folder := range []string{filepath.Join(need.Root(t), "testdata", "notebook"), penguins(t)} {
		r, err := pipeline.Check(context.Background(), folder, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		agree(t, r, folder)
	}
}

// agree counts the findings of a survey in CSV, JSON, SARIF, JUnit and Markdown.
func agree(t *testing.T, r *pipeline.Result, folder string) {
	t.Helper()
	results, err := r.Results(folder, "test", nil)
	if err != nil {
		t.Fatal(err)
	}
	var table, object, markdown strings.Builder
	for _, err := range []error{findings.CSV(&table, r.Findings), findings.JSON(&object, r.Findings), findings.Markdown(&markdown, results)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	levels, _, err := findingsIn(strings.NewReader(table.String()))
	if n := strings.Count(object.String(), `"rule":`); err != nil || len(levels) != len(r.Findings) || n != len(r.Findings) {
		t.Errorf("%d findings in CSV (%v), %d in JSON, want %d", len(levels), err, n, len(r.Findings))
	}
	if c := findings.Count(r.Findings); !strings.Contains(markdown.String(), strconv.Itoa(c.Error)) || !strings.Contains(markdown.String(), strconv.Itoa(c.Warning)) {
		t.Errorf("the Markdown does not say %s:\n%.300s", c, markdown.String())
	}
	var known bytes.Buffer
	if err := findings.WriteKnown(&known, results.Findings, nil); err != nil {
		t.Fatal(err)
	}
	ks, err := findings.ReadKnown("known.json", known.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if _, s, err := ks.Mark(results.Findings); err != nil || len(ks) != len(r.Findings) || s.New+len(s.Gone) > 0 {
		t.Errorf("%d findings, %d known, %d new, %d gone, %v", len(r.Findings), len(ks), s.New, len(s.Gone), err)
	}
	var sarif, junit strings.Builder
	if err := findings.SARIF(&sarif, results); err != nil {
		t.Fatal(err)
	}
	if err := findings.JUnit(&junit, results); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(sarif.String(), `"ruleIndex":`); n != len(r.Findings) {
		t.Errorf("%d results in SARIF, %d findings", n, len(r.Findings))
	}
	counts := findings.Count(r.Findings)
	for name, want := range map[string]int{"findings": len(r.Findings), "errors": counts.Error, "warnings": counts.Warning, "notes": counts.Note} {
		n := 0
		for _, part := range strings.Split(junit.String(), `<property name="`+name+`" value="`)[1:] {
			v, err := strconv.Atoi(part[:strings.IndexByte(part, '"')])
			if err != nil {
				t.Fatal(err)
			}
			n += v
		}
		if n != want {
			t.Errorf("%d %s in JUnit, want %d", n, name, want)
		}
	}
}

// The demo's files hold against the schema of the standard, which an npm
// package carries, and against ours.
func TestFilesForCIAgainstTheirSchemas(t *testing.T) {
	r := demo(t)
	results, err := r.Results(filepath.Join(need.Root(t), "testdata", "demo"), "test", nil)
	if err != nil {
		t.Fatal(err)
	}
	var known, sarif strings.Builder
	if err := findings.WriteKnown(&known, results.Findings, nil); err != nil {
		t.Fatal(err)
	}
	ours, err := schemas.Files.ReadFile("known-findings.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	validAgainst(t, ours, known.String())
	if err := findings.SARIF(&sarif, results); err != nil {
		t.Fatal(err)
	}
	published, err := os.ReadFile(need.Named(t, "SPADEFOOT_SARIF_SCHEMA"))
	if err != nil {
		t.Fatal(err)
	}
	validAgainst(t, published, sarif.String())
}

func validAgainst(t *testing.T, schema []byte, text string) {
	t.Helper()
	res, err := gojsonschema.Validate(gojsonschema.NewBytesLoader(schema), gojsonschema.NewStringLoader(text))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range res.Errors() {
		t.Error(e)
	}
}
