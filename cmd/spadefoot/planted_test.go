//go:build unix

package main

import (
	"bytes"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// files reads all files below a folder.
func filesBelow(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		text, err := os.ReadFile(path)
		out[path] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The files that a survey is read from are never written, whatever asks for it
// and under whatever name.
func TestTheSurveysOwnFilesAreNeverWritten(t *testing.T) {
	survey := manyFrogs(t, 20, 1)
	before := filesBelow(t, survey)
	link := filepath.Join(t.TempDir(), "link.csv")
	var own []string
	for path := range before {
		own = append(own, path)
	}
	if err := os.Symlink(own[0], link); err != nil {
		t.Skip(err)
	}
	out := filepath.Join(t.TempDir(), "out")
	for _, path := range append(own, link, filepath.Join(survey, ".", "remedies.csv")) {
		for _, args := range [][]string{
			{"check", survey, "--sarif", path}, {"check", survey, "--junit", path}, {"check", survey, "--markdown", path},
			{"check", survey, "--write-known", path}, {"remedies", survey, "--out", path, "--update"},
		} {
			if args[0] == "remedies" && filepath.Base(path) == "remedies.csv" {
				continue // which is where proposals go
			}
			code, _, said := ended(t, args...)
			if code != exitCall || !strings.Contains(said, "never written to") && args[0] == "check" && args[2] != "--write-known" {
				t.Errorf("%v: exit code %d: %s", args, code, said)
			}
		}
	}
	if after := filesBelow(t, survey); !maps.Equal(before, after) {
		t.Error("a file of the survey was written")
	}
	if code, _, said := ended(t, "run", survey, "--out", out); code != exitClean {
		t.Fatal(said)
	}
}

// Outputs below the survey folder are never read as sheets, so that each run
// finds what the first one found.
func TestOutputsAreNeverReadAsSheets(t *testing.T) {
	survey := manyFrogs(t, 20, 1)
	yaml := filepath.Join(survey, "survey.yaml")
	text, err := os.ReadFile(yaml)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(survey, "sheets"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(survey, "frogs.csv"), filepath.Join(survey, "sheets", "frogs.csv")); err != nil {
		t.Fatal(err)
	}
	write := func(pattern string) {
		if err := os.WriteFile(yaml, bytes.Replace(text, []byte("frogs.csv"), []byte(pattern), 1), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("'*/*.csv'")
	first := ""
	made, within := filepath.Join(t.TempDir(), "out"), filepath.Join(survey, "out")
	for range 3 {
		code, out, said := ended(t, "run", survey, "--out", made)
		if code != exitClean {
			t.Fatal(said)
		}
		if err := errors.Join(os.RemoveAll(within), os.CopyFS(within, os.DirFS(made))); err != nil { // someone files it with the sheets
			t.Fatal(err)
		}
		_, counts, _ := strings.Cut(out, "\n")
		counts, _, _ = strings.Cut(counts, "\n")
		if first == "" {
			first = counts
		}
		if counts != first || !strings.Contains(counts, "1 sheet,") {
			t.Errorf("read %s, first %s", counts, first)
		}
	}
	write("out/captures.csv")
	if code, _, said := ended(t, "check", survey); code != exitCall || !strings.Contains(said, "the output of a run") {
		t.Errorf("a named output: exit code %d: %s", code, said)
	}
	if code, _, said := ended(t, "run", survey, "--out", filepath.Join(survey, "sheets")); code != exitCall {
		t.Errorf("outputs beside: exit code %d: %s", code, said)
	}
}

// Tables, mappings and sheets that are links out of the folder, pipes or
// devices are refused, and at once.
func TestOnlyPlainFilesOfTheSurveyAreRead(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "secret.csv")
	if err := os.WriteFile(outside, []byte("secret: word\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"frogs.csv", "frogs.yaml", "survey.yaml", "checklist.csv"} {
		for how, plant := range map[string]func(path string) error{
			"a link out":       func(path string) error { return os.Symlink(outside, path) },
			"a pipe":           func(path string) error { return syscall.Mkfifo(path, 0o600) },
			"a device":         func(path string) error { return os.Symlink("/dev/zero", path) },
			"a link to a pipe": func(path string) error { return os.Symlink(filepath.Join(filepath.Dir(path), "pipe"), path) },
		} {
			survey := manyFrogs(t, 3, 1)
			yaml := map[string]string{"checklist.csv": "tables: {checklist: checklist.csv}\n" + mappingText, "frogs.yaml": "mapping: frogs.yaml\n"}[name]
			if yaml != "" {
				if err := os.WriteFile(filepath.Join(survey, "survey.yaml"), []byte(header+"sheets: [{file: frogs.csv}]\n"+yaml), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			path := filepath.Join(survey, name)
			_ = os.Remove(path)
			if how == "a link to a pipe" {
				if err := syscall.Mkfifo(filepath.Join(survey, "pipe"), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			if err := plant(path); err != nil {
				t.Fatal(err)
			}
			began := time.Now()
			code, _, said := ended(t, "check", survey)
			if code != exitInput && code != exitCall || strings.Contains(said, "word") || time.Since(began) > 5*time.Second {
				t.Errorf("%s as %s: exit code %d after %v: %s", name, how, code, time.Since(began), said)
			}
		}
	}
}
