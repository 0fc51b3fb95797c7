package pipeline_test

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/edition"
	"spadefoot/pipeline/record"
)

// editionOf runs a survey with the rows and reads the outputs back.
func editionOf(t *testing.T, files map[string]string) *edition.Edition {
	t.Helper()
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", twiceSurvey)
	for name, rows := range files {
		put(t, dir, name, frogHeading+rows)
	}
	if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{Version: "test"}); err != nil {
		t.Fatal(err)
	}
	e, err := edition.Read(out)
	if err != nil || e == nil {
		t.Fatal(e, err)
	}
	return e
}

func TestChangesBetweenRuns(t *testing.T) {
	slip := strings.Replace(frogRows(1, 12), "1,2024-05-02,Rana temporaria,56.1", "1,2024-05-02,Rana temporaria,5o6.1", 1)
	noKey := strings.Replace(frogRows(1, 12), "\n5,", "\n,", 1)
	for _, c := range []struct {
		name          string
		before, after map[string]string
		files         string // new, changed, gone
		added         int
		gone, altered int
		findings      [3]int // new, gone, changed at warning or above
	}{
		{"nothing", map[string]string{"a.csv": frogRows(1, 12)}, map[string]string{"a.csv": frogRows(1, 12)}, "  ", 0, 0, 0, [3]int{}},
		{"rows moved", map[string]string{"a.csv": noKey}, map[string]string{"a.csv": frogRows(13, 1) + noKey}, " a.csv ", 1, 0, 0, [3]int{}},
		{"a season", map[string]string{"a.csv": frogRows(1, 12)}, map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(101, 12)}, "b.csv  ", 12, 0, 0, [3]int{}},
		{"a season taken out", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(101, 12)}, map[string]string{"b.csv": frogRows(101, 12)}, "  a.csv", 0, 12, 0, [3]int{}},
		{"a slip corrected", map[string]string{"a.csv": slip}, map[string]string{"a.csv": frogRows(1, 12)}, " a.csv ", 0, 0, 1, [3]int{0, 1, 0}},
		{"a slip", map[string]string{"a.csv": frogRows(1, 12)}, map[string]string{"a.csv": slip}, " a.csv ", 0, 0, 1, [3]int{1, 0, 0}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := editionOf(t, c.after).Since(editionOf(t, c.before))
			files := strings.Join(got.FilesNew, ",") + " " + strings.Join(got.FilesOld, ",") + " " + strings.Join(got.FilesGone, ",")
			added := 0
			for _, n := range got.Added {
				added += n
			}
			if files != c.files || added != c.added || got.Gone != c.gone || got.Altered != c.altered {
				t.Errorf("files %q, %d added, %d gone, %d altered; want %q, %d, %d, %d", files, added, got.Gone, got.Altered, c.files, c.added, c.gone, c.altered)
			}
			if n := [3]int{heavy(got.FindingsNew), heavy(got.FindingsGone), heavy(got.FindingsChanged)}; n != c.findings {
				t.Errorf("findings new, gone, changed: %v, want %v", n, c.findings)
			}
			if got.None() != (c.name == "nothing") {
				t.Errorf("nothing changed: %v", got.None())
			}
		})
	}
}

func heavy(fs []record.Finding) int {
	n := 0
	for _, f := range fs {
		if f.Level >= record.Warning {
			n++
		}
	}
	return n
}

func TestNoEditionToRead(t *testing.T) {
	dir := t.TempDir()
	if e, err := edition.Read(dir); e != nil || err != nil {
		t.Errorf("an empty folder: %v, %v", e, err)
	}
	if e, err := edition.Read(filepath.Join(dir, "none")); e != nil || err != nil {
		t.Errorf("no folder: %v, %v", e, err)
	}
	put(t, dir, "run.json", `{"inputs": []}`)
	put(t, dir, "findings.json", `{"findings": []}`)
	for _, text := range []string{"", "capture,file\n", "capture,file,sheet,row,occurrenceID\n1,a.csv\n"} {
		put(t, dir, "captures.csv", text)
		if _, err := edition.Read(dir); err == nil || !strings.Contains(err.Error(), "captures.csv") {
			t.Errorf("%q: %v", text, err)
		}
	}
	put(t, dir, "run.json", "{")
	if _, err := edition.Read(dir); err == nil || !strings.Contains(err.Error(), "run.json") {
		t.Errorf("%v", err)
	}
}
