package pipeline_test

import (
	"context"
	"encoding/csv"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// A row that stands for twelve animals is not a strange animal, and none is learnt from
// it; the same row as that of one animal is an alarm. How many there were is not
// published where it cannot be read.
func TestRowsOfSeveralAnimals(t *testing.T) {
	counted := func(last string) string {
		return strings.ReplaceAll(frogRows(1, 40), "\n", ",1\n") + last
	}
	for _, c := range []struct {
		last   string
		alarms bool
		count  string
	}{
		{"99,2024-05-13,Rana temporaria,640,380,210,12\n", false, "12"},
		{"99,2024-05-13,Rana temporaria,640,380,210,many\n", false, ""},
		{"99,2024-05-13,Rana temporaria,640,380,210,1\n", true, "1"},
		{"99,2024-05-13,Rana temporaria,640,380,210,\n", true, ""},
	} {
		dir := t.TempDir()
		put(t, dir, "survey.yaml", twiceSurvey+"    - {heading: N, term: individualCount}\n")
		put(t, dir, "a.csv", "No,Date,Species,SVL,Tibia,HW,N\n"+counted(c.last))
		r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
		if err != nil {
			t.Fatal(err)
		}
		alarms := 0
		for _, f := range r.Findings {
			if f.At.Row == 42 && f.Level >= record.Warning && f.Rule != "number-unread" {
				alarms++
			}
		}
		last := r.Captures[len(r.Captures)-1]
		if alarms > 0 != c.alarms || last.Get("individualCount") != c.count || len(last.Readings) != 3 {
			t.Errorf("%q: %d alarms, count %q, %d readings", c.last, alarms, last.Get("individualCount"), len(last.Readings))
		}
	}
}

// Of a row whose number cannot be read nobody says that it is one animal.
func TestCountThatIsNotRead(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "survey.yaml", twiceSurvey+"    - {heading: N, term: individualCount}\n")
	put(t, dir, "a.csv", "No,Date,Species,SVL,Tibia,HW,N\n1,2024-05-13,Rana temporaria,64,38,21,many\n2,2024-05-13,Rana temporaria,65,37,22,\n")
	if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{}); err != nil {
		t.Fatal(err)
	}
	text := read(t, filepath.Join(out, "darwin-core", "occurrence.csv"))
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff"))).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%v, %v", rows, err)
	}
	at := slices.Index(rows[0], "individualCount")
	if at < 0 || rows[1][at] != "" || rows[2][at] != "1" || !strings.Contains(text, "many") {
		t.Errorf("%s", text)
	}
}
