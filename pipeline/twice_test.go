package pipeline_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

const twiceSurvey = `dataset:
  id: https://marrow-creek.invalid/twice
  title: Two uploads
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
sheets:
  - file: "*.csv"
mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: HW, measurement: headWidth, unit: mm}
`

// frogRows are n rows that begin with the given number.
func frogRows(from, n int) string {
	var b strings.Builder
	for i := from; i < from+n; i++ {
		fmt.Fprintf(&b, "%d,2024-05-%02d,Rana temporaria,%d.%d,%d.%d,%d.%d\n", i, 1+i%28, 55+i%13, i%10, 28+i%7, i*3%10, 17+i%4, i*7%10)
	}
	return b.String()
}

// renumbered are the rows under other numbers.
func renumbered(rows string) string {
	return "N" + strings.ReplaceAll(strings.TrimSpace(rows), "\n", "\nN") + "\n"
}

const frogHeading = "No,Date,Species,SVL,Tibia,HW\n"

func TestFilesWithTheSameCaptures(t *testing.T) {
	reordered := "Species,HW,Tibia,SVL,Date,No\n"
	for _, l := range strings.Split(strings.TrimSpace(frogRows(1, 12)), "\n") {
		c := strings.Split(l, ",")
		reordered += strings.Join([]string{c[2], c[5], c[4], c[3], c[1], c[0]}, ",") + "\n"
	}
	for _, c := range []struct {
		name, levels string
		files        map[string]string
		want         []string // file-twice findings: where, pairs
		repeated     int      // captures that the finding on repeated keys names
	}{
		{"two seasons", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(101, 12)}, nil, 0},
		{"the same file", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(1, 12)}, []string{"b.csv 12"}, 0},
		{"columns in another order", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": reordered}, []string{"b.csv 12"}, 0},
		{"with new rows", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(1, 12) + frogRows(201, 3)}, []string{"b.csv 12"}, 0},
		{"with one row corrected", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(1, 11) + "12,2024-05-13,Rana temporaria,99,48,31\n"}, []string{"b.csv 11"}, 1},
		{"three times", "", map[string]string{"a.csv": frogRows(1, 5), "b.csv": frogRows(1, 5), "c.csv": frogRows(1, 5)}, []string{"b.csv 10"}, 0},
		{"a state and a later one, twice", "", map[string]string{"a.csv": frogRows(1, 5), "b.csv": frogRows(1, 9), "c.csv": frogRows(1, 9)}, []string{"b.csv 14"}, 0},
		{"two that are handed in twice", "", map[string]string{"a.csv": frogRows(1, 5), "b.csv": frogRows(1, 5), "c.csv": frogRows(101, 5), "d.csv": frogRows(101, 5)}, []string{"b.csv 5", "d.csv 5"}, 0},
		{"other numbers", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": renumbered(frogRows(1, 12))}, []string{"b.csv 12"}, 0},
		{"one row in common", "", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(101, 12) + frogRows(3, 1)}, nil, 1},
		{"a few rows of many", "", map[string]string{"a.csv": frogRows(1, 40), "b.csv": frogRows(101, 40) + frogRows(3, 4)}, nil, 4},
		{"turned off", "rules: {levels: {file-twice: off}}\n", map[string]string{"a.csv": frogRows(1, 12), "b.csv": frogRows(1, 12)}, nil, 12},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			put(t, dir, "survey.yaml", twiceSurvey+c.levels)
			for name, rows := range c.files {
				if !strings.Contains(rows, "Species") {
					rows = frogHeading + rows
				}
				put(t, dir, name, rows)
			}
			r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			repeated := 0
			for _, f := range r.Findings {
				switch f.Rule {
				case "file-twice":
					got = append(got, fmt.Sprintf("%s %d", f.At, len(f.Also)/2))
					pairsAgree(t, f, r.Captures)
				case "key-repeated":
					repeated += (len(f.Also) + 1) / 2 // pairs of cells
				}
			}
			if strings.Join(got, "; ") != strings.Join(c.want, "; ") || repeated != c.repeated {
				t.Errorf("%v and %d repeated keys, want %v and %d", got, repeated, c.want, c.repeated)
			}
		})
	}
}

// pairsAgree holds the rows that are named in pairs against the captures.
func pairsAgree(t *testing.T, f record.Finding, captures []*record.Capture) {
	t.Helper()
	key := map[record.Address]string{}
	for _, c := range captures {
		key[c.Address()] = c.Key
	}
	for i := 0; i < len(f.Also); i += 2 {
		a, b := f.Also[i], f.Also[i+1]
		if b.File == a.File || a.File < f.At.File || key[a] == "" || strings.TrimPrefix(key[a], "N") != key[b] {
			t.Errorf("%s and %s are no pair", a, b)
		}
	}
}

// Rows with one number that say the same are one doubt: the finding on the key
// says that they were probably entered twice.
func TestKeyAndReadingsAgainAreOneFinding(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "survey.yaml", twiceSurvey)
	put(t, dir, "a.csv", frogHeading+frogRows(1, 12)+frogRows(3, 1)+"5,2024-06-20,Rana temporaria,71.0,36.2,21.4\n")
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range r.Findings {
		if f.Rule == "key-repeated" || f.Rule == "capture-twice" {
			got = append(got, f.Rule+": "+f.Reason)
		}
	}
	want := []string{"key-repeated: 2 captures have the same key as an earlier one: 3, 5; the measurements are also the same, so these were probably entered twice: rows 4 and 14"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}

// The time for many equal sheets grows with their number, not with its square.
// Of fewer animals, each 600 times, most would lie on one plane and the others be
// far off it.
func TestManyEqualFilesAreOneFinding(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "survey.yaml", twiceSurvey)
	const n = 600
	for i := range n {
		put(t, dir, fmt.Sprintf("f%04d.csv", i), frogHeading+frogRows(1, 8))
	}
	begin := time.Now()
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(begin); took > 20*time.Second { // a pair for every two files took minutes
		t.Errorf("took %v", took)
	}
	var got []string
	for _, f := range r.Findings {
		if f.Level == record.Error {
			got = append(got, fmt.Sprintf("%s %s, %d: %s", f.Rule, f.At, len(f.Also)/2, f.Reason))
		}
	}
	want := []string{"file-twice f0001.csv, 100: 4792 captures of f0001.csv, f0002.csv, f0003.csv, f0004.csv, f0005.csv and 594 others are the same as in f0000.csv, row by row: the same sheet was submitted 600 times; the first 100 pairs of rows are listed"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}
