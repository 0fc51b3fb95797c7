package pipeline_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/pflag"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/testdata/readback"
	"spadefoot/testdata/tablecheck"
)

// withPackage asks for a data package as the flag does.
func withPackage(t testing.TB) pipeline.Options {
	t.Helper()
	flags := pflag.NewFlagSet("run", pflag.ContinueOnError)
	flags.Bool("package", false, "")
	if err := flags.Set("package", "true"); err != nil {
		t.Fatal(err)
	}
	return pipeline.Options{Version: "test", Flags: map[string]*pflag.Flag{"archive.package": flags.Lookup("package")}}
}

func runWithPackage(t testing.TB, folder, out string) *pipeline.Result {
	t.Helper()
	r, err := pipeline.Run(context.Background(), folder, out, withPackage(t))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The data package of the demo holds what the published profile and table
// schemas ask for, and as many rows as captures and measurements went in.
func TestPackageOfTheDemo(t *testing.T) {
	out := t.TempDir()
	r := runWithPackage(t, filepath.Join(need.Root(t), "testdata", "demo"), out)
	dir := filepath.Join(out, darwincore.PackageFolder)
	var run struct {
		Counts pipeline.Counts `json:"counts"`
	}
	readJSON(t, filepath.Join(out, "run.json"), &run)
	if diff := cmp.Diff(r.Counts, run.Counts); diff != "" {
		t.Errorf("run.json counts otherwise: %s", diff)
	}
	result, err := prove.Path(context.Background(), dir, prove.Options{})
	if err != nil || len(result.Findings) > 0 {
		t.Fatalf("%v, %v", err, result.Findings)
	}
	rows := map[string]int{}
	for _, p := range result.Parts {
		rows[p.RowType] = p.Rows
	}
	if diff := cmp.Diff(r.Counts.Package, rows); diff != "" {
		t.Errorf("the tables hold otherwise than counted: %s", diff)
	}
	if n := len(r.Captures); rows["occurrence"] != n || rows["identification"] != n {
		t.Errorf("%d captures, %d occurrences, %d identifications", n, rows["occurrence"], rows["identification"])
	}
	if rows["occurrence-assertion"] < r.Counts.Measurements {
		t.Errorf("%d assertions for %d measurements", rows["occurrence-assertion"], r.Counts.Measurements)
	}
	for name, want := range map[string]int{"agent": 3, "protocol": 5} { // three observers; the survey's protocol, two instruments and what was computed
		if rows[name] != want {
			t.Errorf("%s has %d rows, want %d", name, rows[name], want)
		}
	}
	tablecheck.Profile(t, dir)
	tablecheck.Tables(t, dir)
}

// A run without a data package takes an earlier one away, which would speak of
// other captures; a folder of that name that is none stays.
func TestPackageDoesNotOutliveItsRun(t *testing.T) {
	out := t.TempDir()
	runWithPackage(t, filepath.Join(need.Root(t), "testdata", "demo"), out)
	runDemo(t, out)
	if _, err := os.Stat(filepath.Join(out, darwincore.PackageFolder)); !os.IsNotExist(err) {
		t.Errorf("the data package of an earlier run is still there: %v", err)
	}
	if err := os.Mkdir(filepath.Join(out, darwincore.PackageFolder), 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(out, darwincore.PackageFolder), "notes.txt", "not ours")
	runDemo(t, out)
	if b, err := os.ReadFile(filepath.Join(out, darwincore.PackageFolder, "notes.txt")); err != nil || string(b) != "not ours" {
		t.Errorf("a folder that is no package was touched: %q, %v", b, err)
	}
}

// What was captured reads back from both containers.
func TestCapturesReadBack(t *testing.T) {
	out := t.TempDir()
	r := runWithPackage(t, filepath.Join(need.Root(t), "testdata", "demo"), out)
	readsBack(t, out, r)
}

// readsBack holds the archive, its zip and the data package below a folder
// against each other, and against the captures that went in.
func readsBack(t *testing.T, out string, r *pipeline.Result) {
	t.Helper()
	ctx := context.Background()
	archive, err := readback.Archive(ctx, filepath.Join(out, darwincore.Folder))
	if err != nil {
		t.Fatal(err)
	}
	zip, err := readback.Archive(ctx, filepath.Join(out, darwincore.Zip))
	if diff := cmp.Diff(archive, zip); err != nil || diff != "" {
		t.Errorf("folder and zip read otherwise: %v\n%s", err, diff)
	}
	tables, err := readback.Package(ctx, filepath.Join(out, darwincore.PackageFolder))
	if diff := cmp.Diff(archive, tables); err != nil || diff != "" {
		t.Errorf("archive and data package read otherwise: %v\n%s", err, diff)
	}
	if len(archive) != len(r.Captures) {
		t.Errorf("%d captures, %d read back", len(r.Captures), len(archive))
	}
	for _, c := range r.Captures {
		sameCapture(t, c, archive[c.ID])
	}
}

// sameCapture compares what the capture holds with what was read back.
func sameCapture(t *testing.T, c *record.Capture, got readback.Animal) {
	t.Helper()
	for _, v := range c.Values {
		if term, ok := terms.Lookup(v.Term); !ok || !term.Simple() || v.Text == "" || v.Term == "dynamicProperties" || v.Term == "occurrenceRemarks" {
			continue
		}
		if got.Terms[v.Term] != v.Text {
			t.Errorf("%s: %s was %q, reads back %q", c.Key, v.Term, v.Text, got.Terms[v.Term])
		}
	}
	for _, s := range append(c.Remarks, c.Get("occurrenceRemarks")) {
		if !strings.Contains(got.Terms["occurrenceRemarks"], strings.TrimSpace(s)) {
			t.Errorf("%s: the remark %q is lost", c.Key, s)
		}
	}
	want, have := map[string]int{}, map[string]int{}
	for i := range c.Readings {
		if v := darwincore.Value(&c.Readings[i]); v != "" {
			want[v+" "+c.Readings[i].Unit]++
		}
	}
	for _, m := range got.Measurements {
		have[m["measurementValue"]+" "+m["measurementUnit"]]++
	}
	for v, n := range want {
		if have[v] < n {
			t.Errorf("%s: %d readings of %s, %d read back", c.Key, n, v, have[v])
		}
	}
}

// The data package is asked for in survey.yaml, or by the environment, as well
// as by the flag; flag over environment over file.
func TestPackageIsAsked(t *testing.T) {
	asked := strings.Replace(smallSurvey, "sheets:", "archive: {package: true}\nsheets:", 1)
	for _, c := range []struct {
		survey, variable string
		want             bool
	}{{smallSurvey, "", false}, {asked, "", true}, {smallSurvey, "true", true}, {asked, "false", false}} {
		dir, out := t.TempDir(), t.TempDir()
		put(t, dir, "survey.yaml", c.survey)
		put(t, dir, "frogs.csv", "Field No,Species,SVL\n1,Rana temporaria,61\n")
		t.Setenv("SPADEFOOT_ARCHIVE_PACKAGE", c.variable)
		if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{}); err != nil {
			t.Fatal(err)
		}
		if _, err := os.Stat(filepath.Join(out, darwincore.PackageFolder)); (err == nil) != c.want {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
