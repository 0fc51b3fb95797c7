package pipeline_test

import (
	"encoding/csv"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
)

// Errors stand first in findings.csv and notes last; an error on a cell keeps its value
// from being published. What could not be computed or compared is one note for the
// survey, which the page tells where it says how it was made, and nowhere else.
func TestLevelsOfFindings(t *testing.T) {
	out := t.TempDir()
	runDemo(t, out)
	f, err := os.Open(filepath.Join(out, "findings.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for i, heading := range rows[0] {
		at[heading] = i
	}
	b, err := os.ReadFile(filepath.Join(out, "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	page := html.UnescapeString(string(b))
	made := strings.Index(page, `<section id="made"`)
	last, seen := record.Error, map[string]int{}
	for _, row := range rows[1:] {
		var level record.Level
		if err := level.UnmarshalText([]byte(row[at["level"]])); err != nil {
			t.Fatal(err)
		}
		if level > last {
			t.Errorf("%s stands behind a %s", row, last)
		}
		last = level
		rule, reason := row[at["rule"]], record.Capital(row[at["reason"]])
		if !report.OfMethod(rule) {
			continue
		}
		seen[rule]++
		if first := strings.Index(page, reason); level != record.Note || made < 0 || first < made || strings.LastIndex(page, reason) != first {
			t.Errorf("%s, %s: not told once where the page says how it was made", level, reason)
		}
	}
	if seen["condition-declined"] != 1 || seen["group-too-small"] != 1 {
		t.Errorf("%v", seen)
	}
}
