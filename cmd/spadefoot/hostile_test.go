package main

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// obeyedByTerminals finds what must never reach a terminal or a log.
var obeyedByTerminals = regexp.MustCompile(`[\x00-\x08\x0b-\x1f\x7f\x{80}-\x{9f}\x{202a}-\x{202e}\x{2066}-\x{2069}]|(?m:^\s*::)`)

// hostileFrogs is a survey whose title, tab, headings and cells are written for
// terminals, logs and spreadsheets.
func hostileFrogs(t *testing.T) string {
	t.Helper()
	cell := "\"=cmd|' /C calc'!A0\""
	rows := "Field No,Species,SVL,\x1b[31mNote\n" +
		"=F1,Rana temporaria,45.1," + cell + "\n" +
		"@F2,\"Rana\n::error::\x1b]0;owned\x07\",46.2,\"-1+1\"\n" +
		"F3,Rana temporaria,\u202e47.3x,+x\n" +
		"F4,Rana temporaria,-48,'=x\n"
	yaml := strings.Replace(header, "title: ", `title: "\e[2J\n::error::owned " #`, 1)
	return folderOf(t, yaml+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(rows)})
}

func TestNothingOfOthersReachesATerminalRaw(t *testing.T) {
	survey := hostileFrogs(t)
	strange := filepath.Join(t.TempDir(), "a\x1b[31m\n::error::b.csv")
	if err := os.WriteFile(strange, []byte("Field No,Species\nF1,Rana temporaria\n"), 0o600); err != nil {
		t.Skip(err)
	}
	for _, args := range [][]string{
		{"check", survey}, {"check", survey, "--format", "csv"}, {"check", survey, "--format", "json"}, {"check", survey, "--markdown", "-"},
		{"check", survey, "--junit", "-"}, {"check", survey, "--sarif", "-"},
		{"run", survey, "--out", filepath.Join(t.TempDir(), "out")}, {"draft", filepath.Join(survey, "frogs.csv"), "--out", filepath.Join(t.TempDir(), "new")},
		{"draft", strange, "--out", filepath.Join(t.TempDir(), "new")}, {"check", strange}, {"prove", strange}, {"prove", filepath.Join(survey, "frogs.csv")},
		{"help", "\x1b[31m\n::error::"}, {"remedies", survey},
	} {
		code, out, said := ended(t, args...)
		if found := obeyedByTerminals.FindString(out + "\n" + said); found != "" {
			t.Errorf("%q: exit code %d, %q in:\n%q\n%q", args, code, found, out, said)
		}
	}
}

// No cell of the tables for spreadsheets begins as a formula does, what is
// published is to the letter, and reading takes back what was added.
func TestFormulasAreDefused(t *testing.T) {
	survey, out := hostileFrogs(t), filepath.Join(t.TempDir(), "out")
	for range 2 {
		code, said, _ := ended(t, "run", survey, "--out", out, "--undecided", "keep")
		if code != exitClean && code != exitFindings || strings.Contains(said, "changed") && !strings.Contains(said, "nothing changed") && strings.Contains(said, "since") {
			t.Errorf("exit code %d: %s", code, said)
		}
	}
	if code, _, said := ended(t, "remedies", survey, "--notes"); code != exitClean {
		t.Fatal(said)
	}
	number := regexp.MustCompile(`^[+-]?\d+([.,]\d+)?$|^[-+]+$`)
	defused := 0
	for _, path := range []string{filepath.Join(out, "captures.csv"), filepath.Join(out, "findings.csv"), filepath.Join(survey, "remedies.csv")} {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, cell := range row {
				if cell != "" && strings.Contains("=+-@\t", cell[:1]) && !number.MatchString(cell) {
					t.Errorf("%s: a cell is %q", path, cell)
				}
				if strings.HasPrefix(cell, "'") {
					defused++
				}
			}
		}
	}
	if defused < 5 {
		t.Errorf("%d cells were defused", defused)
	}
	text, err := os.ReadFile(filepath.Join(out, "darwin-core", "occurrence.csv"))
	if err != nil || !strings.Contains(string(text), "=F1") || strings.Contains(string(text), "'=F1") {
		t.Errorf("what is published is not as written: %v\n%s", err, text)
	}
}

// ended runs the program to its end.
func ended(t *testing.T, args ...string) (code int, out, said string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code = run(t.Context(), args, &stdout, &stderr)
	return code, stdout.String(), stderr.String()
}
