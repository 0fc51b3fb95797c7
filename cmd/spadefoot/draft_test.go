package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/mapping"
)

func TestDraftVerb(t *testing.T) {
	dir := t.TempDir()
	sheet := filepath.Join(dir, "frogs.csv")
	if err := os.WriteFile(sheet, []byte("Field No,Species,SVL,Zorb\n1,Rana temporaria,61,x!\n2,Rana temporaria,58,y!\n3,Rana temporaria,66,x!\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "survey")
	for _, c := range []struct {
		name   string
		args   []string
		code   int
		stdout []string
		stderr string
	}{
		{"no sheet", []string{"draft", "--out", out}, exitCall, nil, "draft needs at least one sheet"},
		{"no folder", []string{"draft", sheet}, exitCall, nil, "--out FOLDER"},
		{"no such sheet", []string{"draft", filepath.Join(dir, "toads.csv"), "--out", out}, exitInput, nil, "toads.csv"},
		{"a draft", []string{"draft", sheet, "--out", out, "--title", "Frogs"}, exitClean,
			[]string{"frogs.csv: 1 table, 3 rows, 3 of 4 headings understood", "open:   Zorb", "spadefoot run " + out}, ""},
		{"over a draft", []string{"draft", sheet, "--out", out}, exitOutput, nil, "never overwrites anything"},
		{"the draft runs", []string{"run", out, "--out", filepath.Join(dir, "result"), "--quiet"}, exitClean, []string{"Frogs"}, ""},
	} {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), c.args, &stdout, &stderr)
		if code != c.code || !strings.Contains(stderr.String(), c.stderr) || c.stderr == "" && stderr.Len() > 0 {
			t.Errorf("%s: exit code %d, want %d; stderr: %s", c.name, code, c.code, stderr.String())
		}
		for _, want := range c.stdout {
			if !strings.Contains(stdout.String(), want) {
				t.Errorf("%s: standard output does not say %q: %s", c.name, want, stdout.String())
			}
		}
	}
}

// Answers are read from lines; what is not the number of an answer is asked again,
// and an empty line or the end of the input keeps the first.
func TestAsker(t *testing.T) {
	q := mapping.Question{Text: "Is it so?", Answers: []mapping.Answer{{Text: "yes"}, {Text: "no"}}}
	var out bytes.Buffer
	ask := asker(strings.NewReader("7\nmaybe\n2\n\n"), &out)
	for i, want := range []int{1, 0, 0} {
		if got, err := ask("frogs.csv", q); got != want || err != nil {
			t.Errorf("answer %d: %d %v, want %d", i, got, err, want)
		}
	}
	if n := strings.Count(out.String(), "a number from 1 to 2"); n != 2 || strings.Count(out.String(), "frogs.csv") != 1 {
		t.Errorf("%s", out.String())
	}
}
