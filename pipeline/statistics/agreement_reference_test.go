package statistics

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// readJSON reads a file of stored reference values.
func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(need.Root(t), "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// readCSV reads a table of stored reference values as one map a row.
func readCSV(t *testing.T, name string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(need.Root(t), "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for j, h := range all[0] {
			row[h] = line[j]
		}
		rows = append(rows, row)
	}
	return rows
}

// agree fails unless got is want to the given relative difference.
func agree(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) != math.IsNaN(want) || math.Abs(got-want) > tolerance*math.Abs(want)+1e-13 {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}
