package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

const header = `dataset:
  id: https://marrow-creek.invalid/small
  title: A small sheet
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
`

const mappingText = `mapping:
  key: [recordNumber]
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
`

const sheetText = "Field No,Species,SVL\n1,Rana temporaria,61\n2,Rana temporaria,58\n"

func workbook(t *testing.T, password string) []byte {
	t.Helper()
	f := excelize.NewFile()
	for i, row := range [][]any{{"Field No", "Species", "SVL"}, {1, "Rana temporaria", 61}, {2, "Rana temporaria", 58}} {
		cell, _ := excelize.CoordinatesToCellName(1, i+1)
		if err := f.SetSheetRow("Sheet1", cell, &row); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b, excelize.Options{Password: password}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func folderOf(t *testing.T, survey string, sheets map[string][]byte) string {
	t.Helper()
	dir := t.TempDir()
	sheets["survey.yaml"] = []byte(survey)
	for name, b := range sheets {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// Every bad input ends with its exit code and an error that says where and
// what to do, and leaves the earlier output as it was.
func TestBadInputs(t *testing.T) {
	book := workbook(t, "")
	csv := "sheets: [{file: frogs.csv}]\n"
	xlsx := "sheets: [{file: frogs.xlsx}]\n"
	text := func(s string) map[string][]byte { return map[string][]byte{"frogs.csv": []byte(s)} }
	for _, c := range []struct {
		name   string
		survey string
		files  map[string][]byte
		code   int
		says   []string
	}{
		{"empty file", header + csv + mappingText, text(""), exitInput, []string{"frogs.csv", "empty"}},
		{"binary file", header + csv + mappingText, text("\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x00\x00\x00\x00\x00\x00\x00"), exitInput, []string{"frogs.csv"}},
		{"truncated workbook", header + xlsx + mappingText, map[string][]byte{"frogs.xlsx": book[:len(book)/2]}, exitInput, []string{"frogs.xlsx"}},
		{"workbook with a password", header + xlsx + mappingText, map[string][]byte{"frogs.xlsx": workbook(t, "secret")}, exitInput, []string{"frogs.xlsx", "password"}},
		{"file is missing", header + csv + mappingText, map[string][]byte{}, exitInput, []string{"frogs.csv"}},
		{"tab is missing", header + "sheets: [{file: frogs.xlsx, tabs: [Spring]}]\n" + mappingText, map[string][]byte{"frogs.xlsx": book}, exitInput, []string{"frogs.xlsx", "Spring"}},
		{"path out of the folder", header + "sheets: [{file: ../frogs.csv}]\n" + mappingText, text(sheetText), exitCall, []string{"survey.yaml, line 7", "../frogs.csv"}},
		{"unknown key", header + csv + strings.Replace(mappingText, "measurement:", "mesurement:", 1), text(sheetText), exitCall,
			[]string{"survey.yaml, line 13", "mapping.headings.2.mesurement", `did you mean "measurement"`}},
		{"unknown measurement", header + csv + strings.Replace(mappingText, "snoutVentLength", "snoutVentLenght", 1), text(sheetText), exitCall,
			[]string{"survey.yaml, line 13", `did you mean "snoutVentLength"`}},
		{"unknown term", header + csv + strings.Replace(mappingText, "scientificName", "scientficName", 1), text(sheetText), exitCall,
			[]string{"survey.yaml, line 12", `did you mean "scientificName"`}},
		{"no mapping", header + csv, text(sheetText), exitCall, []string{"survey.yaml", "has no mapping"}},
		{"mapping not there", header + csv + "mapping: none.yaml\n", text(sheetText), exitCall, []string{"survey.yaml, line 8", "none.yaml"}},
		{"unknown threshold", header + csv + "rules: {screen: {modifiedY: 3}}\n" + mappingText, text(sheetText), exitCall, []string{"rules.screen", "modifiedY"}},
		{"no licence", strings.Replace(header, "  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode\n", "", 1) + csv + mappingText, text(sheetText), exitCall, []string{"dataset.licence"}},
		{"not YAML", "dataset: [\n", text(sheetText), exitCall, []string{"survey.yaml", "not readable YAML"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := t.TempDir()
			earlier := filepath.Join(out, "findings.csv")
			if err := os.WriteFile(earlier, []byte("earlier"), 0o644); err != nil {
				t.Fatal(err)
			}
			var stdout, stderr bytes.Buffer
			code := run(context.Background(), []string{"run", folderOf(t, c.survey, c.files), "--out", out}, &stdout, &stderr)
			if code != c.code {
				t.Errorf("exit code %d, want %d; stderr: %s", code, c.code, stderr.String())
			}
			for _, s := range c.says {
				if !strings.Contains(stderr.String(), s) {
					t.Errorf("the error does not say %q: %s", s, stderr.String())
				}
			}
			entries, _ := os.ReadDir(out)
			if b, err := os.ReadFile(earlier); err != nil || string(b) != "earlier" || len(entries) != 1 {
				t.Errorf("the earlier output changed: %q, %v, %d entries", b, err, len(entries))
			}
			if stdout.Len() > 0 {
				t.Errorf("on standard output: %s", stdout.String())
			}
		})
	}
}

// What people really write is read with findings, not refused.
func TestAwkwardInputsAreRead(t *testing.T) {
	csv := header + "sheets: [{file: frogs.csv}]\n" + mappingText
	for _, c := range []struct {
		name, sheet string
		says        []string
	}{
		{"ragged rows and a stray quote", "Field No,Species,SVL\n1,Rana \"temp\" temporaria,61\n2,Rana temporaria\n3,Rana temporaria,58,extra\n", []string{"row-ragged", "quote-stray"}},
		{"headings only", "Field No,Species,SVL\n", []string{"table-without-rows"}},
		{"a heading nobody knows", "Field No,Species,SVL,Mood\n1,Rana temporaria,61,calm\n", []string{"heading-unmatched"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := t.TempDir()
			var stdout, stderr bytes.Buffer
			dir := folderOf(t, csv, map[string][]byte{"frogs.csv": []byte(c.sheet)})
			if code := run(context.Background(), []string{"run", dir, "--out", out}, &stdout, &stderr); code != exitClean {
				t.Fatalf("exit code %d: %s", code, stderr.String())
			}
			b, err := os.ReadFile(filepath.Join(out, "findings.csv"))
			if err != nil {
				t.Fatal(err)
			}
			for _, rule := range c.says {
				if !bytes.Contains(b, []byte(","+rule+",")) {
					t.Errorf("no finding %s in:\n%s", rule, b)
				}
			}
			occ, _ := os.ReadFile(filepath.Join(out, "darwin-core", "occurrence.csv"))
			if c.name == "a heading nobody knows" && !bytes.Contains(occ, []byte(`""Mood"":""calm""`)) {
				t.Errorf("the cell is not in dynamicProperties:\n%s", occ)
			}
		})
	}
}

func TestUnwritableOutput(t *testing.T) {
	dir := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(sheetText)})
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, []byte("in the way"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{blocked, filepath.Join(blocked, "below"), "/proc/spadefoot"} {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), []string{"run", dir, "--out", out}, &stdout, &stderr)
		if code != exitOutput || !strings.Contains(stderr.String(), out) {
			t.Errorf("%s: exit code %d, %s", out, code, stderr.String())
		}
	}
	if b, err := os.ReadFile(blocked); err != nil || string(b) != "in the way" {
		t.Errorf("the file in the way changed: %q %v", b, err)
	}
}

func TestExitCodes(t *testing.T) {
	bad := strings.Replace(sheetText, "58", "5o8", 1)
	dir := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(bad)})
	good := folderOf(t, header+"sheets: [{file: frogs.csv}]\n"+mappingText, map[string][]byte{"frogs.csv": []byte(sheetText)})
	for _, c := range []struct {
		args []string
		want int
	}{
		{[]string{"check", dir}, exitFindings},
		{[]string{"check", good}, exitClean},
		{[]string{"check", dir, "--fail-on", "never"}, exitClean},
		{[]string{"run", dir, "--out", t.TempDir()}, exitClean},
		{[]string{"run", dir, "--out", t.TempDir(), "--fail-on", "error"}, exitFindings},
		{[]string{"check", dir, "--fail-on", "sometimes"}, exitCall},
		{[]string{"run", dir}, exitCall},
		{[]string{"check"}, exitCall},
		{[]string{"check", dir, "--nosuch"}, exitCall},
		{[]string{"nosuch"}, exitCall},
		{[]string{"check", filepath.Join(dir, "none")}, exitCall},
		{[]string{"version"}, exitClean},
	} {
		var stdout, stderr bytes.Buffer
		if got := run(context.Background(), c.args, &stdout, &stderr); got != c.want {
			t.Errorf("%v: exit code %d, want %d; %s", c.args, got, c.want, stderr.String())
		}
	}
}
