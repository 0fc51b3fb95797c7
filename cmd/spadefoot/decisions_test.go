package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const secretSurvey = header + `tables: {sites: sites.csv, sensitive: sensitive.csv}
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: Place, term: locality}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
`

func secretFiles() map[string][]byte {
	return map[string][]byte{
		"frogs.csv":     []byte("Field No,Species,Place,SVL\n1,Rana temporaria,Heron Bluff,61\n2,Rana temporaria,Heron Blufff,see Heron Bluff\n"),
		"sites.csv":     []byte("site,latitude,longitude\nHeron Bluff,45.51237,-76.30418\n"),
		"sensitive.csv": []byte("taxon,grid,reason\nRana temporaria,0.1,invented\n"),
	}
}

// called runs the program and returns its exit code and both its outputs.
func called(args ...string) (code int, stdout, stderr string) {
	var out, err bytes.Buffer
	code = run(context.Background(), args, &out, &err)
	return code, out.String(), err.String()
}

// What goes to the terminal tells no sensitive place, whatever is wrong.
func TestTheTerminalTellsNoPlace(t *testing.T) {
	for _, tt := range []struct {
		what   string
		change func(map[string][]byte)
		code   int
		args   []string
	}{
		{"run", nil, exitClean, []string{"run", "DIR", "--out", "OUT"}},
		{"check", nil, exitFindings, []string{"check", "DIR"}},
		{"check as CSV", nil, exitFindings, []string{"check", "DIR", "--format", "csv"}},
		{"check as JSON", nil, exitFindings, []string{"check", "DIR", "--format", "json"}},
		{"a remedy that does not fit", func(f map[string][]byte) {
			f["remedies.csv"] = []byte("file,row,column,found,action,replacement,who,when,why\nfrogs.csv,3,C,Heron Blufffff,replace,Heron Bluff,A,2024-09-02,x\n")
		}, exitCall, []string{"check", "DIR"}},
		{"a table of sites that cannot be read", func(f map[string][]byte) {
			f["sites.csv"] = []byte("site,latitude,longitude\nHeron Bluff,45.51237,-76.30418\nHeron Bluff,45.51237,-276.30418\n")
		}, exitInput, []string{"check", "DIR"}},
	} {
		files := secretFiles()
		if tt.change != nil {
			tt.change(files)
		}
		dir, out := folderOf(t, secretSurvey, files), filepath.Join(t.TempDir(), "out")
		for i, a := range tt.args {
			tt.args[i] = strings.NewReplacer("DIR", dir, "OUT", out).Replace(a)
		}
		code, stdout, stderr := called(tt.args...)
		if code != tt.code {
			t.Errorf("%s: exit code %d, want %d\n%s", tt.what, code, tt.code, stderr)
		}
		for _, secret := range []string{"heron", "bluff", "45.51", "76.30"} {
			if strings.Contains(strings.ToLower(stdout+stderr), secret) {
				t.Errorf("%s tells %s:\n%s%s", tt.what, secret, stdout, stderr)
			}
		}
		if stdout+stderr == "" {
			t.Errorf("%s says nothing", tt.what)
		}
	}
}

func TestExactPlacesMustBeAskedFor(t *testing.T) {
	dir, out, exact := folderOf(t, secretSurvey, secretFiles()), filepath.Join(t.TempDir(), "out"), filepath.Join(t.TempDir(), "exact.csv")
	if code, _, stderr := called("run", dir, "--out", out, "--exact-places", filepath.Join(out, "exact.csv")); code != exitCall || !strings.Contains(stderr, "output folder") {
		t.Errorf("inside the output: %d, %s", code, stderr)
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("the output folder was made")
	}
	if code, _, stderr := called("run", dir, "--out", out, "--exact-places", exact); code != exitClean {
		t.Fatalf("%d, %s", code, stderr)
	}
	text, err := os.ReadFile(exact)
	if err != nil || !strings.Contains(string(text), "45.51237") || !strings.Contains(string(text), "Heron Bluff") {
		t.Errorf("%s, %v", text, err)
	}
}

func TestRemediesVerb(t *testing.T) {
	dir := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{
		"frogs.csv": []byte("Field No,Species,SVL\n1,Rana temporaria,61\n2,Rana temporaria,see book\n")})
	path := filepath.Join(dir, "remedies.csv")
	if code, stdout, stderr := called("remedies", dir); code != exitClean || stdout != path+" and remedies.xlsx: rows to decide on: 2; kept unchanged: 0\n" {
		t.Fatalf("%d, %s%s", code, stdout, stderr)
	}
	first, err := os.ReadFile(path)
	if want := "frogs.csv,,3,C,,2,snoutVentLength,see book,,,number-unread,,,,"; err != nil || !strings.Contains(string(first), want) {
		t.Errorf("%s, %v; want %s", first, err, want)
	}
	if code, _, stderr := called("remedies", dir); code != exitCall || !strings.Contains(stderr, "already exists") {
		t.Errorf("a second time: %d, %s", code, stderr)
	}
	if code, stdout, _ := called("remedies", dir, "--update"); code != exitClean || !strings.Contains(stdout, "rows to decide on: 0; kept unchanged: 2") {
		t.Errorf("anew: %d, %s", code, stdout)
	}
	if code, _, stderr := called("remedies", dir, "--out", filepath.Join(dir, "none", "r.csv")); code != exitOutput {
		t.Errorf("into a folder that is not there: %d, %s", code, stderr)
	}
	if code, _, stderr := called("remedies"); code != exitCall || !strings.Contains(stderr, "remedies FOLDER") {
		t.Errorf("without a folder: %d, %s", code, stderr)
	}
}
