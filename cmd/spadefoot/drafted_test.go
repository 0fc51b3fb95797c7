package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// An archive whose description is still what a draft put there is none to
// publish, and states no licence.
func TestDraftedDescriptionIsNotReady(t *testing.T) {
	dir := t.TempDir()
	sheet := filepath.Join(dir, "pond.csv")
	if err := os.WriteFile(sheet, []byte("No,Date,Site,Species,SVL (mm)\n1,2025-04-13,Pond,Rana temporaria,61.2\n2,2025-04-13,Pond,Rana temporaria,51.2\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	survey, out := filepath.Join(dir, "survey"), filepath.Join(dir, "out")
	if code, _, stderr := called("draft", sheet, "--out", survey); code != exitClean {
		t.Fatal(stderr)
	}
	_, stdout, stderr := called("run", survey, "--out", out)
	if want := "Not ready to publish: under dataset in survey.yaml, id, description, licence, creators are still the draft's placeholder text. Next: write your own text, and run again."; lastLine(stdout) != want {
		t.Errorf("%s%s", stdout, stderr)
	}
	for _, name := range []string{"eml.xml", "meta.xml", "occurrence.csv"} {
		b, err := os.ReadFile(filepath.Join(out, "darwin-core", name))
		if err != nil || strings.Contains(string(b), "icense") {
			t.Errorf("%s: %v\n%s", name, err, b)
		}
	}
}
