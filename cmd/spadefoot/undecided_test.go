package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const undecidedSurvey = header + `sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
`

func undecidedFiles() map[string][]byte {
	return map[string][]byte{"frogs.csv": []byte("Field No,Date,SVL\nF1,2023-05-04,61.2\nF2,31 April 2023,6O.7\n")}
}

// cells reads one column of a published table.
func cells(t *testing.T, path, column string) []string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for i, name := range rows[0] {
		if name == column {
			for _, row := range rows[1:] {
				out = append(out, row[i])
			}
		}
	}
	return out
}

// What nobody decided on is in the archive as what it is: a text.
func TestWhatIsUndecidedIsNotPublished(t *testing.T) {
	dir, out := folderOf(t, undecidedSurvey, undecidedFiles()), filepath.Join(t.TempDir(), "out")
	code, stdout, stderr := called("run", dir, "--out", out)
	if code != exitClean {
		t.Fatal(stderr)
	}
	last := lastLine(stdout)
	if want := "Not ready to publish: 2 errors undecided, 2 values left out. Next: spadefoot remedies " + dir + ", decide there or correct the sheets, and run again."; last != want {
		t.Errorf("the summary ends in %q, want %q", last, want)
	}
	core := filepath.Join(out, "darwin-core", "occurrence.csv")
	if got := strings.Join(cells(t, core, "eventDate"), "|"); got != "2023-05-04|" && got != "|2023-05-04" {
		t.Errorf("eventDate holds %s", got)
	}
	want := `{"undecided":{"eventDate":"31 April 2023","snoutVentLength":"6O.7"}}`
	if got := strings.Join(cells(t, core, "dynamicProperties"), ""); got != want {
		t.Errorf("dynamicProperties holds %s, want %s", got, want)
	}
	if got := cells(t, filepath.Join(out, "darwin-core", "measurementorfact.csv"), "measurementValue"); len(got) != 1 || got[0] != "61.2" {
		t.Errorf("measurements: %v", got)
	}
	if got := strings.Join(cells(t, filepath.Join(out, "captures.csv"), "undecided"), ""); got != "eventDate: 31 April 2023 (date-impossible) | snoutVentLength: 6O.7 (letter-for-digit)" {
		t.Errorf("captures.csv holds %s", got)
	}
}

func lastLine(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return lines[len(lines)-1]
}

// An archive that is refused leaves the one that is there.
func TestAnArchiveWithErrorsCanBeRefused(t *testing.T) {
	dir, out := folderOf(t, undecidedSurvey, undecidedFiles()), filepath.Join(t.TempDir(), "out")
	if code, _, stderr := called("run", dir, "--out", out, "--undecided", "keep"); code != exitClean {
		t.Fatal(stderr)
	}
	before := cells(t, filepath.Join(out, "captures.csv"), "capture")
	files := undecidedFiles()
	if err := os.WriteFile(filepath.Join(dir, "frogs.csv"), append(files["frogs.csv"], "F3,2023-05-05,60.0\n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	code, stdout, stderr := called("run", dir, "--out", out, "--undecided", "refuse")
	if code != exitFindings || stdout != "" {
		t.Errorf("exit code %d, said %s", code, stdout)
	}
	for _, want := range []string{"2 errors without a decision", "frogs.csv, C3", "Next: spadefoot remedies " + dir} {
		if !strings.Contains(stderr, want) {
			t.Errorf("nothing says %q: %s", want, stderr)
		}
	}
	if after := cells(t, filepath.Join(out, "captures.csv"), "capture"); len(after) != len(before) {
		t.Errorf("there were %v, there are %v", before, after)
	}
}

// What a person decided is published, and the archive is ready.
func TestWhatIsDecidedIsPublished(t *testing.T) {
	files := undecidedFiles()
	files["frogs.csv"] = []byte("Field No,Date,SVL\nF1,2023-05-04,61.2\nF2,2023-05-05,6O.7\nF3,2023-05-06,60.1\n")
	files["remedies.csv"] = []byte("file,row,column,found,action,replacement,rule,who,when,why\n" +
		"frogs.csv,3,C,6O.7,replace,60.7,letter-for-digit,A. Moor,2024-09-02,letter for digit\n")
	dir, out := folderOf(t, undecidedSurvey, files), filepath.Join(t.TempDir(), "out")
	code, stdout, stderr := called("run", dir, "--out", out, "--undecided", "refuse")
	if code != exitClean || lastLine(stdout) != "Ready to publish: no undecided errors." {
		t.Fatalf("exit code %d: %s%s", code, stdout, stderr)
	}
	if got := cells(t, filepath.Join(out, "darwin-core", "measurementorfact.csv"), "measurementValue"); len(got) != 3 {
		t.Errorf("measurements: %v", got)
	}
}
