package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/record/need"
)

// TestTablesAreCurrent re-runs the generator against the published standards.
func TestTablesAreCurrent(t *testing.T) {
	need.Shared(t, "standards/darwin-core/term_versions.csv")
	shared := filepath.Dir(need.Shared(t, "standards"))
	for name, make := range tables {
		got, err := make(shared)
		if err != nil {
			t.Fatal(err)
		}
		want, err := os.ReadFile(filepath.Join(need.Root(t), "schemas", name))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from what the generator makes; run: go run ./schemas/generate -shared ../shared", name)
		}
	}
}

func TestFollow(t *testing.T) {
	all := []version{
		{IRI: "a-1", Term: "a", Issued: "2001", Status: "deprecated"},
		{IRI: "b-1", Term: "b", Issued: "2002", Status: "deprecated", Replaces: "a-1"},
		{IRI: "c-1", Term: "c", Issued: "2003", Status: "recommended", Replaces: "b-1"},
		{IRI: "x-1", Term: "x", Issued: "2003", Status: "deprecated", Replaces: "y-1"},
		{IRI: "y-1", Term: "y", Issued: "2003", Status: "deprecated", Replaces: "x-1"},
	}
	latest, _ := latestVersions(all)
	next := successors(all)
	if got := follow(latest["a"], next, latest, nil); len(got) != 1 || got[0] != "c" {
		t.Errorf("a is replaced by %v, want [c]", got)
	}
	if got := follow(latest["x"], next, latest, nil); len(got) != 0 {
		t.Errorf("a ring of deprecated terms ends at %v, want nothing", got)
	}
}
