package alarms

import (
	"encoding/csv"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// realSheets are tables of strangers, with the most alarms that they give. The
// mappings are in testdata/sheets, the tables in ../shared/opendata/sheets
// with their sources.
var realSheets = map[string]int{
	"and-vert": 160, "bison": 3, "curtis": 8, "hatchlings": 30, "hurricane": 2, "klex": 3, "permit": 3, "pie-crab": 3, "portal-newform": 3,
}

// At most five alarms are given per hundred rows. A table without a key is one
// matter more, and not counted.
func TestRealSheets(t *testing.T) {
	for name, most := range realSheets {
		t.Run(name, func(t *testing.T) {
			dir := realSheet(t, name)
			fs, captures := check(t, dir)
			alarms, rules := 0, map[string]int{}
			for _, f := range fs {
				if f.Level >= record.Warning && f.Rule != "key-missing" {
					alarms++
					rules[f.Rule]++
				}
			}
			t.Logf("%d alarms on %d rows: %v", alarms, captures, rules)
			if alarms > most || alarms*20 > captures {
				t.Errorf("%d alarms on %d rows, want at most %d: %v", alarms, captures, most, rules)
			}
		})
	}
}

// realSheet puts the mapping beside the table.
func realSheet(t *testing.T, name string) string {
	t.Helper()
	dir := t.TempDir()
	from := filepath.Join(need.Root(t), "testdata", "sheets", name)
	for _, file := range []string{"survey.yaml", "checklist.csv"} {
		copyInto(t, dir, filepath.Join(from, file))
	}
	about, err := os.Open(need.Shared(t, "opendata/sheets/"+name+"/about.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer about.Close()
	in := csv.NewReader(about)
	in.FieldsPerRecord, in.LazyQuotes = -1, true
	if _, err := in.Read(); err != nil {
		t.Fatal(err)
	}
	row, err := in.Read()
	if err != nil && len(row) == 0 {
		t.Fatal(err)
	}
	copyInto(t, dir, need.Shared(t, "opendata/sheets/"+name+"/"+strings.TrimSpace(row[0])))
	return dir
}

// copyInto copies a file, if it is there, into a folder.
func copyInto(t *testing.T, dir, path string) {
	t.Helper()
	in, err := os.Open(path)
	if os.IsNotExist(err) && filepath.Base(path) == "checklist.csv" {
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	b, err := io.ReadAll(in)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, filepath.Base(path)), b, 0o644); err != nil {
		t.Fatal(err)
	}
}
