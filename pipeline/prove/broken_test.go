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
	"spadefoot/pipeline/record"
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
	if len(rows) < 190 {
		t.Fatalf("%d broken archives, want at least 190", len(rows))
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

// TestUnusual accepts archives, packages and tables that are valid by the
// guides, each odd in one way: no error, and no warning but that an archive
// should name its description.
func TestUnusual(t *testing.T) {
	dir := filepath.Join(need.Root(t), "testdata", "unusual")
	files, err := os.ReadDir(dir)
	if err != nil || len(files) < 80 {
		t.Fatalf("%d unusual archives, %v", len(files), err)
	}
	for _, f := range files {
		result, err := prove.Path(context.Background(), filepath.Join(dir, f.Name()), prove.Options{})
		if err != nil {
			t.Errorf("%s: %v", f.Name(), err)
			continue
		}
		for _, x := range result.Findings {
			if x.Level > record.Note && x.Rule != "meta-metadata-unnamed" {
				t.Errorf("%s: %s %s: %s (%q)", f.Name(), x.Rule, x.At, x.Reason, x.Value)
			}
		}
		if len(result.Parts) == 0 {
			t.Errorf("%s: nothing was proved", f.Name())
		}
	}
}

// TestBrokenAreCurrent makes the archives again and compares bytes.
func TestBrokenAreCurrent(t *testing.T) {
	root, out, odd := need.Root(t), t.TempDir(), t.TempDir()
	cmd := exec.Command("go", "run", "./testdata/broken/make", "-out", out, "-unusual", odd)
	cmd.Dir = root
	if b, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, b)
	}
	for name, dir := range map[string]string{"broken": out, "unusual": odd} {
		made, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range made {
			a, errA := os.ReadFile(filepath.Join(dir, f.Name()))
			b, errB := os.ReadFile(filepath.Join(root, "testdata", name, f.Name()))
			if errA != nil || errB != nil || !bytes.Equal(a, b) {
				t.Errorf("%s/%s differs from what testdata/broken/make makes", name, f.Name())
			}
		}
	}
}
