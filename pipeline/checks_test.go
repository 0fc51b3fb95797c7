package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

const checkedSurvey = `dataset:
  id: https://marrow-creek.invalid/checked
  title: Checked
  description: Frogs of Tern Slough.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{family: Varga}]
instruments:
  - {name: scale 100, unit: g, graduation: 0.5, capacity: 100}
sheets: [{file: sheet.csv}]
CHECKS
mapping:
  key: [recordNumber]
  weighing: {way: same-row, unit: g, scale: scale 100}
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: Gross, weighing: gross}
    - {heading: Bag, weighing: tare}
    - {heading: Notes, term: occurrenceRemarks}
`

const checkedRows = `No,Date,Species,Gross,Bag,Notes
1,2024-05-03,Lithobates pipiens,42.5,4.5,
2,2024-05-03,Lithobates pipiens,44.0,4.5,
3,2024-05-09,Lithobates pipiens,40.5,4.5,calibrated the eye
4,2024-05-09,Lithobates pipiens,41.5,4.5,
`

// Checks of a scale are the same wherever they were written: in survey.yaml, in a
// table of their own, in one beside or below the captures, or in lines above, between
// or below the rows. So are the masses, in however many parts.
func TestChecksOfScales(t *testing.T) {
	inYAML := "scaleChecks:\n  - {scale: scale 100, date: 2024-05-03, load: 0, reading: 0}\n  - {scale: scale 100, date: 2024-05-03, load: 50, reading: 50}\n  - {scale: scale 100, date: 2024-05-09, load: 50, reading: 52}\n"
	above, below, found := strings.Cut(checkedRows, "3,2024-05-09")
	if !found {
		t.Fatal("no third row")
	}
	for name, c := range map[string]struct{ survey, sheet, table string }{
		"survey.yaml":  {inYAML, checkedRows, ""},
		"table":        {"tables: {scaleChecks: checks.csv}", checkedRows, "date,scale,load,reading,unit\n2024-05-03,scale 100,0,0,g\n2024-05-03,,50,50,\n2024-05-09,,0.05,0.052,kg\n"},
		"lines":        {"", "Site: Tern Slough,,,,,\n\"Calibration: 50 g weight reads 50 g; zero 0\",,,,,\n" + above + "Calibration:,50 g,reads,52 g,,\n3,2024-05-09" + below, ""},
		"below":        {"", "\"Calibration: 50 g weight reads 50 g; zero 0\",,,,,\n" + checkedRows + ",,,,,\nCheck weight 50 g = 52 g,,,,,\n", ""},
		"table below":  {"", checkedRows + ",,,,,\nScale checks,,,,,\nDate,Check weight (g),Reading (g),,,\n2024-05-03,0,0,,,\n,50,50,,,\n2024-05-09,0.05 kg,52,,,\n", ""},
		"table beside": {"", widened(checkedRows, ",,Fecha,Balanza,Pesa,Lectura (g)", ",,2024-05-03,scale 100,0 g,0", ",,2024-05-03,scale 100,50 g,50", ",,2024-05-09,scale 100,50 g,52"), ""},
		"zeros beside": {"", widened(checkedRows, ",,Datum,Prüfgewicht (g),Anzeige (g),Nullpunkt (g)", ",,2024-05-03,50,50,0", ",,2024-05-09,50,52,"), ""},
	} {
		for _, part := range []int{0, 1, 2} {
			dir := checkedFolder(t, c.survey, c.sheet, c.table)
			masses, fs := checkedRun(t, dir, part)
			drifted := 0
			for _, f := range fs {
				switch f.Rule {
				case "scale-drifted":
					drifted++
					if !strings.Contains(f.Reason, "52 g with 50 g on it on 2024-05-09; 1 of its 3 checks") || f.At.Row == 0 {
						t.Errorf("%s: %s %s", name, f.At, f.Reason)
					}
				case "scale-check-unread":
					t.Errorf("%s: %s %s", name, f.At, f.Reason)
				}
			}
			if drifted != 1 {
				t.Errorf("%s, parts of %d: %d findings on the scale", name, part, drifted)
			}
			for i, m := range masses { // the scale was right for rows 1 and 2, and 4 % out on the day of 3 and 4
				if strings.Contains(m, "drift ±4 % of scale 100") != (i >= 2) {
					t.Errorf("%s: %s", name, m)
				}
			}
		}
	}
}

// widened writes further cells behind the first lines of a sheet.
func widened(sheet string, cells ...string) string {
	lines := strings.SplitAfter(sheet, "\n")
	for i, more := range cells {
		lines[i] = strings.TrimSuffix(lines[i], "\n") + more + "\n"
	}
	return strings.Join(lines, "")
}

// What is not understood is a note at its cell, and nothing is taken from it.
func TestChecksThatAreNotUnderstood(t *testing.T) {
	dir := checkedFolder(t, "tables: {scaleChecks: checks.csv}", "Calibration: 50 g and 52,,,,,\n"+checkedRows,
		"date,load,reading\n03/05/2024,50,52\n2024-05-03,fifty,52\n")
	masses, fs := checkedRun(t, dir, 0)
	at := map[string]bool{}
	for _, f := range fs {
		if f.Rule == "scale-check-unread" && f.Level == record.Note {
			at[f.At.String()] = true
		}
		if f.Rule == "scale-drifted" {
			t.Errorf("%+v", f)
		}
	}
	if len(at) != 3 || !at["sheet.csv, A1"] {
		t.Errorf("%v", at)
	}
	if strings.Contains(strings.Join(masses, ""), "drift") {
		t.Errorf("%q", masses)
	}
}

func checkedFolder(t *testing.T, survey, sheet, table string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"survey.yaml": strings.Replace(checkedSurvey, "CHECKS", survey, 1), "sheet.csv": sheet, "checks.csv": table} {
		if text == "" {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// checkedRun returns the lines of the archive on masses, and the findings.
func checkedRun(t *testing.T, dir string, part int) (masses []string, fs []record.Finding) {
	t.Helper()
	o := Options{Version: "test", OnResult: func(r *Result) error {
		for f, err := range r.Each() {
			if err != nil {
				return err
			}
			fs = append(fs, f)
		}
		return nil
	}}
	if part > 0 {
		o.wholeRows, o.partRows = 1, part
	}
	out := t.TempDir()
	if _, err := Run(context.Background(), dir, out, o); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(readFile(t, out, filepath.Join("darwin-core", "measurementorfact.csv")))) {
		if strings.Contains(line, "body mass") {
			masses = append(masses, line)
		}
	}
	if len(masses) != 4 {
		t.Fatalf("%d masses: %q", len(masses), masses)
	}
	return masses, fs
}
