package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record/need"
)

// outcome is what a call left behind.
type outcome struct {
	code           int
	stdout, stderr string
}

func call(args ...string) outcome {
	var stdout, stderr bytes.Buffer
	code := run(context.Background(), args, &stdout, &stderr)
	return outcome{code, stdout.String(), stderr.String()}
}

// copyOfDemo is the demo survey in its own folder, with sheets of later
// uploads to come under uploads/.
func copyOfDemo(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(need.Root(t), "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// upload adds a sheet to the survey, as a pull request would.
func upload(t *testing.T, dir, name string, rows [][]string) {
	t.Helper()
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = ';'
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	save(t, filepath.Join(dir, name), b.Bytes())
	path := filepath.Join(dir, "survey.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	line := "  - {file: june-2024-reyes.csv, mapping: june.yaml}\n"
	with := strings.Replace(string(text), line, line+"  - {file: "+name+", mapping: june.yaml, separator: \";\", encoding: utf-8}\n", 1)
	if with == string(text) {
		t.Fatal("the demo names its sheets in another way")
	}
	save(t, path, []byte(with))
}

func save(t *testing.T, path string, b []byte) {
	t.Helper()
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// season is a sheet in the columns of the demo's last one, with frogs whose
// measurements go with each other.
func season(prefix string, month, n int) [][]string {
	rows := [][]string{{"No", "Fecha", "Sitio", "Especie", "Sexo", "Etapa", "LHC (mm)", "Tibia", "Ancho cabeza", "Ojo", "Tímpano", "Peso bruto (g)", "Bolsa", "Quién", "Notas"}}
	for i := range n {
		l := 60 + float64((i*month)%9) - 4 + 0.1*float64(month)
		rows = append(rows, []string{fmt.Sprintf("%s-%03d", prefix, i+1), fmt.Sprintf("%02d/%02d/2024", 1+i, month), "Tern Slough", "LIPI", "hembra", "adulto",
			comma(l), comma(0.55*l + 0.3*float64(i%3)), comma(0.33*l + 0.1*float64(i%2)), comma(0.12*l + 0.1*float64(i%3)), comma(0.082*l + 0.1*float64(i%2)),
			comma(half(0.000107*l*l*l + 5)), "B1", "M. Reyes", ""})
	}
	return rows
}

func comma(v float64) string { return strings.Replace(fmt.Sprintf("%.1f", v), ".", ",", 1) }

func half(v float64) float64 { return float64(int(v*2+0.5)) / 2 }

// A clean upload passes; a bad one fails and only what is new is named.
func TestNewUploads(t *testing.T) {
	dir := copyOfDemo(t)
	known := filepath.Join(dir, "known-findings.json")
	if o := call("check", dir); o.code != exitFindings {
		t.Fatalf("the demo has errors, exit code %d: %s", o.code, o.stderr)
	}
	if o := call("check", dir, "--write-known", known); o.code != exitClean {
		t.Fatalf("writing the known findings: exit code %d: %s", o.code, o.stderr)
	}
	if o := call("check", dir, "--known", known); o.code != exitClean || !strings.Contains(o.stdout, "new   0 errors, 0 warnings, 0 notes") {
		t.Fatalf("all is known: exit code %d:\n%s%s", o.code, o.stdout, o.stderr)
	}

	upload(t, dir, "july-2024-reyes.csv", season("JL", 7, 12))
	o := call("check", dir, "--known", known)
	if o.code != exitClean || !strings.Contains(o.stdout, "new   0 errors, 0 warnings") {
		t.Fatalf("a clean upload: exit code %d:\n%s%s", o.code, o.stdout, o.stderr)
	}

	bad := season("AU", 8, 12)
	bad[4][6] = "6O,1"  // a letter for a digit
	bad[7][6] = "612,0" // ten times too long
	bad[9][0] = ""      // no number
	upload(t, dir, "august-2024-reyes.csv", bad)
	files := t.TempDir()
	sarif, junit, markdown := filepath.Join(files, "f.sarif"), filepath.Join(files, "f.xml"), filepath.Join(files, "f.md")
	o = call("check", dir, "--known", known, "--sarif", sarif, "--junit", junit, "--markdown", markdown)
	if o.code != exitFindings {
		t.Fatalf("a bad upload: exit code %d:\n%s%s", o.code, o.stdout, o.stderr)
	}
	for _, cell := range []string{"G5", "G8", "A10"} {
		if !strings.Contains(o.stdout, ": august-2024-reyes.csv, "+cell+": ") {
			t.Errorf("%s is not named:\n%s", cell, o.stdout)
		}
	}
	for _, l := range strings.Split(o.stdout, "\n") {
		if (strings.HasPrefix(l, "1 error ") || strings.HasPrefix(l, "1 warning ")) && !strings.Contains(l, " august-2024-reyes.csv") {
			t.Errorf("a known finding is named: %s", l)
		}
	}
	onlyTheUploadIsNew(t, sarif, junit, markdown)
}

func onlyTheUploadIsNew(t *testing.T, sarif, junit, markdown string) {
	t.Helper()
	var log struct {
		Runs []struct {
			Results []struct {
				Level         string
				BaselineState string
				Locations     []struct {
					PhysicalLocation struct {
						ArtifactLocation struct{ URI string }
					}
				}
			}
		}
	}
	if err := json.Unmarshal(read(t, sarif), &log); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, r := range log.Runs[0].Results {
		if r.BaselineState == "new" && r.Level != "note" {
			n++
			if uri := r.Locations[0].PhysicalLocation.ArtifactLocation.URI; uri != "august-2024-reyes.csv" {
				t.Errorf("new in SARIF: %s", uri)
			}
		}
	}
	if n < 3 {
		t.Errorf("%d new results in SARIF", n)
	}
	if text := string(read(t, junit)); strings.Count(text, "<failure ") < 3 || strings.Contains(text, `<failure message="marrow`) || strings.Contains(text, `<failure message="june`) {
		t.Errorf("failures in JUnit:\n%s", text)
	}
	if text := string(read(t, markdown)); !strings.Contains(text, "**New: ") || strings.Contains(text, "| error | marrow") {
		t.Errorf("Markdown:\n%s", text)
	}
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestFindingsThatAreGone(t *testing.T) {
	survey := header + "sheets: [{file: frogs.csv}]\n" + mappingText
	dir := folderOf(t, survey, map[string][]byte{"frogs.csv": []byte(strings.Replace(sheetText, "58", "5o8", 1))})
	known := filepath.Join(dir, "known.json")
	call("check", dir, "--write-known", known)
	text := string(read(t, known))
	save(t, known, []byte(strings.Replace(text, `"value":"5o8"}`, `"value":"5o8","why":"the ink ran"}`, 1)))
	save(t, filepath.Join(dir, "frogs.csv"), []byte(sheetText))
	o := call("check", dir, "--known", known)
	if o.code != exitClean || !strings.Contains(o.stdout, "gone  1 known finding no longer occurs") || !strings.Contains(o.stdout, `snoutVentLength "5o8"`) {
		t.Errorf("exit code %d:\n%s%s", o.code, o.stdout, o.stderr)
	}
	// back again: still known, and what was said of it stays when written anew
	save(t, filepath.Join(dir, "frogs.csv"), []byte(strings.Replace(sheetText, "58", "5o8", 1)))
	if o := call("run", dir, "--out", t.TempDir(), "--known", known, "--write-known", known, "--fail-on", "error"); o.code != exitClean {
		t.Errorf("exit code %d:\n%s%s", o.code, o.stdout, o.stderr)
	}
	if !bytes.Contains(read(t, known), []byte("the ink ran")) {
		t.Errorf("what was said is lost:\n%s", read(t, known))
	}
}

// Calls that make no sense end with 2, say why, and change no file.
func TestBadCallsForCI(t *testing.T) {
	survey := header + "sheets: [{file: frogs.csv}]\n" + mappingText
	dir := folderOf(t, survey, map[string][]byte{"frogs.csv": []byte(sheetText), "other.json": []byte(`{"counts": {}}`)})
	other := filepath.Join(dir, "other.json")
	for _, c := range []struct {
		name string
		args []string
		code int
		says string
	}{
		{"no such file", []string{"check", dir, "--known", filepath.Join(dir, "none.json")}, exitCall, "--write-known"},
		{"another file", []string{"check", dir, "--known", other}, exitCall, "not a file of known findings"},
		{"over another file", []string{"check", dir, "--write-known", other}, exitCall, "was left alone"},
		{"over the survey", []string{"check", dir, "--write-known", filepath.Join(dir, "survey.yaml")}, exitCall, "was left alone"},
		{"one file for two", []string{"check", dir, "--sarif", filepath.Join(dir, "a"), "--junit", filepath.Join(dir, "./a")}, exitCall, "both name"},
		{"two to standard output", []string{"check", dir, "--sarif", "-", "--markdown", "-"}, exitCall, "both name"},
		{"standard output is taken", []string{"check", dir, "--sarif", "-", "--format", "json"}, exitCall, "standard output"},
		{"a folder", []string{"check", dir, "--sarif", filepath.Join(dir, "a"), "--junit", dir}, exitOutput, "folder"},
		{"no such folder", []string{"check", dir, "--sarif", filepath.Join(dir, "a"), "--junit", filepath.Join(dir, "none", "b")}, exitOutput, "none"},
		{"no earlier run", []string{"run", dir, "--out", filepath.Join(dir, "a"), "--since", filepath.Join(dir, "none")}, exitCall, "holds no run"},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := call(c.args...)
			if o.code != c.code || !strings.Contains(o.stderr, c.says) {
				t.Errorf("exit code %d, want %d: %s", o.code, c.code, o.stderr)
			}
			entries, err := os.ReadDir(dir)
			if err != nil || len(entries) != 3 || string(read(t, other)) != `{"counts": {}}` {
				t.Errorf("%d files in the folder, %v", len(entries), err)
			}
		})
	}
}

func TestToStandardOutput(t *testing.T) {
	dir := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(sheetText)})
	for flag, begins := range map[string]string{"--sarif": "{\n \"$schema\"", "--junit": "<?xml", "--markdown": "## A small sheet\n"} {
		if o := call("check", dir, flag, "-"); o.code != exitClean || !strings.HasPrefix(o.stdout, begins) {
			t.Errorf("%s: exit code %d: %s%s", flag, o.code, o.stdout, o.stderr)
		}
	}
}

// A second upload: the summary of the run says what it changed, and nothing of
// it goes into the outputs.
func TestWhatAnUploadChanged(t *testing.T) {
	dir := copyOfDemo(t)
	out := t.TempDir()
	first := call("run", dir, "--out", out)
	if first.code != exitClean || strings.Contains(first.stdout, "since the last run") {
		t.Fatalf("the first run: exit code %d:\n%s%s", first.code, first.stdout, first.stderr)
	}
	if again := call("run", dir, "--out", out); !strings.Contains(again.stdout, "since the last run in "+out+" nothing changed") {
		t.Fatalf("the same again:\n%s%s", again.stdout, again.stderr)
	}
	table := filepath.Join(out, "captures.csv")
	kept, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(table, maxCompared+1); err != nil {
		t.Fatal(err)
	}
	if large := call("run", dir, "--out", out); large.code != exitClean || !strings.Contains(large.stdout, "unknown, its table of captures is 10 MB") {
		t.Errorf("a large run before: %d, %s", large.code, large.stdout)
	}
	if err := os.WriteFile(table, kept, 0o644); err != nil {
		t.Fatal(err)
	}
	keep := t.TempDir()
	if err := os.CopyFS(keep, os.DirFS(out)); err != nil {
		t.Fatal(err)
	}
	bad := season("AU", 8, 12)
	bad[4][6] = "6O,1"
	upload(t, dir, "august-2024-reyes.csv", bad)
	o := call("run", dir, "--out", out)
	for _, want := range []string{
		"files    1 (august-2024-reyes.csv) new, 1 (survey.yaml) changed, 0 gone",
		"captures 12 (august-2024-reyes.csv 12) added, 0 gone, 0 changed",
		"new      error letter-for-digit at august-2024-reyes.csv, G5",
	} {
		if o.code != exitClean || !strings.Contains(o.stdout, want) {
			t.Errorf("exit code %d, there is no %q in:\n%s%s", o.code, want, o.stdout, o.stderr)
		}
	}
	fresh := t.TempDir()
	named := call("run", dir, "--out", fresh, "--since", keep)
	if named.code != exitClean || !strings.Contains(named.stdout, "since the last run in "+keep+"\n") {
		t.Errorf("a named run: exit code %d:\n%s%s", named.code, named.stdout, named.stderr)
	}
	for _, name := range []string{"run.json", "findings.json", "captures.csv", "report.html", "darwin-core.zip"} {
		if !bytes.Equal(read(t, filepath.Join(out, name)), read(t, filepath.Join(fresh, name))) {
			t.Errorf("%s hangs on what was there before", name)
		}
	}
}
