package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestForms(t *testing.T) {
	dir := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(sheetText)})
	parent := t.TempDir()
	out := filepath.Join(parent, "forms")
	for _, c := range []struct {
		name string
		args []string
		code int
		says string
	}{
		{"no folder to write to", []string{"forms", dir}, exitCall, "--out DIR"},
		{"no survey", []string{"forms", "--out", out}, exitCall, "takes one survey folder"},
		{"no sessions", []string{"forms", dir, "--out", out, "--sessions", "0"}, exitCall, "--sessions"},
		{"a mapping that is not there", []string{"forms", dir, "--out", out, "--mapping", "other"}, exitCall, "there are: captures"},
		{"a day that is none", []string{"forms", dir, "--out", out, "--from", "spring"}, exitCall, "flag --from"},
		{"forms", []string{"forms", dir, "--out", out, "--sessions", "2", "--replicates", "2", "--observer", "Varga, I."}, exitClean, "captures.xlsx: 6 columns"},
		{"a second time", []string{"forms", dir, "--out", out}, exitOutput, "not empty"},
		{"a run over the blank forms", []string{"check", out}, exitClean, "0 errors, 0 warnings"},
	} {
		var stdout, stderr bytes.Buffer
		if code := run(context.Background(), c.args, &stdout, &stderr); code != c.code || !strings.Contains(stdout.String()+stderr.String(), c.says) {
			t.Errorf("%s: exit code %d, want %d; %s%s", c.name, code, c.code, stdout.String(), stderr.String())
		}
	}
	for _, name := range []string{"survey.yaml", "captures.yaml", "captures.xlsx", "captures-a4.html", "captures-letter.html"} {
		if info, err := os.Stat(filepath.Join(out, name)); err != nil || info.Size() == 0 {
			t.Errorf("%s: %v", name, err)
		}
	}
	if entries, _ := os.ReadDir(parent); len(entries) != 1 {
		t.Errorf("something was left beside the folder: %v", entries)
	}
}
