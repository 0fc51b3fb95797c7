package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const trainingFolder = "../../testdata/training"

func TestObserversVerb(t *testing.T) {
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	plain := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(sheetText)})
	lost := folderOf(t, header+"tables: {known: none.csv}\nsheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(sheetText)})
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{trainingFolder, "--out", t.TempDir()}, exitClean, "fail  A. Osei: fail on snoutVentLength; pass on 3"},
		{[]string{trainingFolder, "--out", t.TempDir(), "--fail-on", "note"}, exitFindings, ""},
		{[]string{plain, "--out", t.TempDir()}, exitClean, "nobody can be assessed"},
		{[]string{plain, "--out", t.TempDir(), "--fail-on", "warning"}, exitFindings, ""},
		{[]string{trainingFolder}, exitCall, "--out DIR"},
		{[]string{"--out", t.TempDir()}, exitCall, "one survey folder"},
		{[]string{lost, "--out", t.TempDir()}, exitInput, "none.csv"},
		{[]string{trainingFolder, "--out", blocked}, exitOutput, blocked},
	} {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), append([]string{"observers"}, c.args...), &stdout, &stderr)
		if code != c.code || !strings.Contains(stdout.String()+stderr.String(), c.says) {
			t.Errorf("%v: exit code %d, want %d; %s%s", c.args, code, c.code, stdout.String(), stderr.String())
		}
		if n := strings.Count(stdout.String(), "\n"); n > 24 {
			t.Errorf("the summary has %d lines, more than a screen", n)
		}
	}
}
