package prove_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record/need"
	"spadefoot/schemas"
)

// want is a row of testdata/broken/expected.csv.
type want struct {
	Archive string `csv:"archive"`
	Rule    string `csv:"rule"`
	Level   string `csv:"level"`
	File    string `csv:"file"`
	Line    string `csv:"line"`
	Section string `csv:"section"`
	Refused string `csv:"refused"`
}

// TestBroken proves archives with one fault each: the fault is named with its
// file, line and section, and nothing is found that does not follow from it.
func TestBroken(t *testing.T) {
	dir := filepath.Join(need.Root(t), "testdata", "broken")
	rows, err := schemas.Decode[want](os.DirFS(dir), "expected.csv")
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 30 {
		t.Fatalf("%d broken archives, want at least 30", len(rows))
	}
	rules, err := schemas.Table[schemas.Rule]("rules/prove.csv")
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, r := range rules {
		known[r.Code] = true
	}
	for _, w := range rows {
		t.Run(strings.TrimSuffix(w.Archive, ".zip"), func(t *testing.T) { broken(t, dir, w, known) })
	}
}

func broken(t *testing.T, dir string, w want, known map[string]bool) {
	result, err := prove.Path(context.Background(), filepath.Join(dir, w.Archive), prove.Options{})
	var hostile *prove.HostileError
	switch {
	case w.Refused == "" && err != nil:
		t.Fatal(err)
	case w.Refused != "" && (!errors.As(err, &hostile) || !strings.Contains(err.Error(), w.Refused)):
		t.Fatalf("got %v, want a refusal with %q", err, w.Refused)
	}
	if w.Rule == "" {
		return
	}
	for _, f := range result.Findings {
		if !known[f.Rule] {
			t.Errorf("the rule %s is not in the table of rules", f.Rule)
		}
	}
	row, _ := strconv.Atoi(w.Line)
	hit := false
	for _, f := range result.Findings {
		ref := strings.TrimPrefix(f.Reference, "Darwin Core text guide 2023-09-13, section ")
		hit = hit || f.Rule == w.Rule && f.Level.String() == w.Level && f.At.File == w.File && f.At.Row == row && ref == w.Section
	}
	if !hit {
		t.Errorf("want %+v", w)
		for _, f := range result.Findings {
			t.Logf("found %s %s %q %s: %s (%s)", f.Level, f.Rule, f.Value, f.At, f.Reason, f.Reference)
		}
	}
}

// TestBrokenAreCurrent makes the archives again and compares bytes.
func TestBrokenAreCurrent(t *testing.T) {
	root, out := need.Root(t), t.TempDir()
	cmd := exec.Command("go", "run", "./testdata/broken/make", "-out", out)
	cmd.Dir = root
	if b, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, b)
	}
	made, err := os.ReadDir(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range made {
		a, errA := os.ReadFile(filepath.Join(out, f.Name()))
		b, errB := os.ReadFile(filepath.Join(root, "testdata", "broken", f.Name()))
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Errorf("%s differs from what testdata/broken/make makes", f.Name())
		}
	}
}
