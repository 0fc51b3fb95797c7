package pipeline_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
)

const formatsSurvey = `dataset:
  id: https://marrow-creek.invalid/datasets/formats
  title: One sheet in three kinds of file
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  published: "2024-09-01"
  creators: [{given: Ines, family: Varga}]
tables: {checklist: checklist.csv}
sheets: [{file: frogs}]
mapping:
  key: [recordNumber]
  weighing: {way: same-row, unit: g}
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Site, term: locality}
    - {heading: Species, term: scientificName}
    - {heading: Sex, term: sex}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: Gross, weighing: gross}
    - {heading: Bag, weighing: tare}
    - {heading: Notes, term: occurrenceRemarks}
`

// The same sheet as XLSX, XLS and ODS, all three saved by LibreOffice (see
// testdata/notebook/make), gives the same archive to the byte: numbers, dates,
// texts among numbers, cell comments. The archive names the file of a value
// that reads otherwise than it was written, and of the headings; so all three
// bear the same name here, without an extension. What kind of file it is stands
// in its content.
func TestTheKindOfFileDoesNotMatter(t *testing.T) {
	var first map[string][]byte
	for _, name := range []string{"frogs.xlsx", "frogs.xls", "frogs.ods"} {
		dir, out := t.TempDir(), t.TempDir()
		for from, to := range map[string]string{"formats/" + name: "frogs", "checklist.csv": "checklist.csv"} {
			b, err := os.ReadFile(notebook(t, from))
			if err != nil {
				t.Fatal(err)
			}
			put(t, dir, to, string(b))
		}
		put(t, dir, "survey.yaml", formatsSurvey)
		r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{Version: "test"})
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Captures) != 30 {
			t.Errorf("%s: %d captures", name, len(r.Captures))
		}
		got := files(t, filepath.Join(out, darwincore.Folder))
		if first == nil {
			first = got
			for _, want := range []string{"as written: \"\"57,5?\"\"", "as written: \"\"2 1/8 in\"\" in [in_i]", "(frogs, tab Frogs, F4)", "bag wet"} {
				if !strings.Contains(string(got["measurementorfact.csv"])+string(got["occurrence.csv"]), want) {
					t.Errorf("the archive does not hold %q", want)
				}
			}
			if s := string(got["occurrence.csv"]); !strings.Contains(s, "measured twice") || !strings.Contains(s, "1990-05-03") {
				t.Errorf("the comment or a date is missing:\n%s", s)
			}
			continue
		}
		for f := range first {
			if !bytes.Equal(first[f], got[f]) {
				t.Errorf("%s: %s differs from that of frogs.xlsx:\n%s", name, f, differingLines(first[f], got[f]))
			}
		}
		if len(got) != len(first) {
			t.Errorf("%s: %d files, want %d", name, len(got), len(first))
		}
	}
}

// differingLines returns the first pair of lines that differ.
func differingLines(a, b []byte) string {
	x, y := strings.Split(string(a), "\n"), strings.Split(string(b), "\n")
	for i := range x {
		if i >= len(y) || x[i] != y[i] {
			return "  " + x[i] + "\n  " + strings.Join(y[min(i, len(y)):min(i+1, len(y))], "")
		}
	}
	return "  one is longer"
}
