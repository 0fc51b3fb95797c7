package pipeline_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline"
	"spadefoot/pipeline/report/findings"
)

// movedSurvey is a survey of one file, whose name takes the place of %s.
const movedSurvey = `dataset:
  id: https://marrow-creek.invalid/moved
  title: A sheet that is moved about
  description: Invented.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{given: Ines, family: Varga}]
survey: {from: "2024-01-01", to: "2024-12-31"}
sheets:
  - file: %s
mapping:
  key: [recordNumber]
  weighing: {way: same-row, unit: g}
  headings:
    - {heading: Field No, term: recordNumber}
    - {heading: Caught, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: Sex, term: sex}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
    - {heading: Tibia, measurement: tibiaLength, unit: mm}
    - {heading: Gross, weighing: gross}
    - {heading: Bag, weighing: tare}
`

// slipsSheet has forty frogs of one species and a slip of every kind that
// hangs on a cell, a row, a word, a column or the sheet.
func slipsSheet() [][]string {
	rows := [][]string{{"Field No", "Caught", "Species", "Sex", "SVL", "Tibia", "Gross", "Bag", "Mood"}}
	r := rand.New(rand.NewPCG(7, 11))
	for i := range 40 {
		svl := 58 + 4*r.NormFloat64()
		rows = append(rows, []string{strconv.Itoa(101 + i), fmt.Sprintf("2024-05-%02d", 1+i%28), "Rana temporaria", []string{"m", "f"}[i%2],
			strconv.FormatFloat(svl, 'f', 1, 64), strconv.FormatFloat(svl*0.52+0.4*r.NormFloat64(), 'f', 1, 64),
			strconv.FormatFloat(svl*svl*svl*0.0001+5, 'f', 1, 64), "5", ""})
	}
	set := func(row int, column, text string) { rows[row][slices.Index(rows[0], column)] = text }
	set(3, "SVL", "5O.1")       // a letter for a digit
	set(5, "SVL", "612")        // ten times too large
	set(8, "Tibia", "see book") // no number
	set(11, "Sex", "q")         // an unknown word, twice
	set(14, "Sex", "q")
	set(17, "Field No", "") // no key, twice
	set(18, "Field No", "")
	set(20, "Field No", "101") // a key twice
	set(22, "Gross", "4.5")    // the bag is heavier
	set(25, "Caught", "2023-05-02")
	set(26, "Mood", "calm") // a heading that nobody knows
	return rows
}

// checked writes the rows as a file of the kind of its name and returns the
// fingerprints of what check finds, as lines with the parts in clear.
func checked(t *testing.T, name string, rows [][]string) []string {
	t.Helper()
	dir := t.TempDir()
	put(t, dir, "survey.yaml", fmt.Sprintf(movedSurvey, name))
	if strings.HasSuffix(name, ".xlsx") {
		saveWorkbook(t, dir+"/"+name, rows)
	} else {
		var b strings.Builder
		if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		put(t, dir, name, b.String())
	}
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, id := range findings.Identify(r.Findings, r.Captures) {
		out = append(out, id.Fingerprint()+" "+fmt.Sprintf("%+v", id))
	}
	slices.Sort(out)
	return out
}

// saveWorkbook stores numbers as numbers, as a spreadsheet program does that
// opens a text file.
func saveWorkbook(t *testing.T, path string, rows [][]string) {
	t.Helper()
	f := excelize.NewFile()
	for i, row := range rows {
		for j, text := range row {
			cell, _ := excelize.CoordinatesToCellName(j+1, i+1)
			var v any = text
			if n, err := strconv.ParseFloat(text, 64); err == nil {
				v = n
			}
			if text == "" {
				continue
			}
			if err := f.SetCellValue("Sheet1", cell, v); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
}

func sameFingerprints(t *testing.T, want, got []string) {
	t.Helper()
	for _, l := range want {
		if !slices.Contains(got, l) {
			t.Errorf("gone: %s", l)
		}
	}
	for _, l := range got {
		if !slices.Contains(want, l) {
			t.Errorf("new: %s", l)
		}
	}
}

func TestTheSheetOfSlipsHasManyKinds(t *testing.T) {
	rules := map[string]bool{}
	for _, l := range checked(t, "frogs.csv", slipsSheet()) {
		rules[strings.Fields(l)[1]] = true
	}
	if len(rules) < 9 {
		t.Errorf("only %d rules: %v", len(rules), rules)
	}
}

// shuffledColumns returns the rows with their columns in another order.
func shuffledColumns(rows [][]string, r *rand.Rand) [][]string {
	order := r.Perm(len(rows[0]))
	out := make([][]string, len(rows))
	for i, row := range rows {
		for _, j := range order {
			out[i] = append(out[i], row[j])
		}
	}
	return out
}

// withBlankRows puts rows with nothing in them between the others: every row
// below moves, and no statistic changes.
func withBlankRows(rows [][]string, r *rand.Rand) [][]string {
	out := [][]string{rows[0]}
	for _, row := range rows[1:] {
		if r.IntN(12) == 0 {
			out = append(out, make([]string, len(row)))
		}
		out = append(out, row)
	}
	return out
}

// withTitle puts a line above the table.
func withTitle(rows [][]string) [][]string {
	title := make([]string, len(rows[0]))
	title[0] = "Marrow Creek Field Station"
	return append([][]string{title, make([]string, len(title))}, rows...)
}

func TestFingerprintsSurviveMoves(t *testing.T) {
	rows := slipsSheet()
	want := checked(t, "frogs.csv", rows)
	r := rand.New(rand.NewPCG(3, 5))
	for i := range 6 {
		t.Run(fmt.Sprintf("columns %d", i), func(t *testing.T) {
			sameFingerprints(t, want, checked(t, "frogs.csv", shuffledColumns(rows, r)))
		})
		t.Run(fmt.Sprintf("rows %d", i), func(t *testing.T) {
			sameFingerprints(t, want, checked(t, "frogs.csv", withBlankRows(rows, r)))
		})
	}
	t.Run("title", func(t *testing.T) { sameFingerprints(t, want, checked(t, "frogs.csv", withTitle(rows))) })
	t.Run("workbook", func(t *testing.T) { sameFingerprints(t, want, checked(t, "frogs.xlsx", rows)) })
	t.Run("tabs", func(t *testing.T) {
		sameFingerprints(t, withoutSeparator(want), withoutSeparator(checkedTabs(t, rows)))
	})
	t.Run("all at once", func(t *testing.T) {
		sameFingerprints(t, want, checked(t, "frogs.xlsx", withTitle(withBlankRows(shuffledColumns(rows, r), r))))
	})
}

// checkedTabs saves the rows with tabs between them. That the separator was
// guessed is a note on the file as it is.
func checkedTabs(t *testing.T, rows [][]string) []string {
	dir := t.TempDir()
	put(t, dir, "survey.yaml", fmt.Sprintf(movedSurvey, "frogs.tsv"))
	var b strings.Builder
	for _, row := range rows {
		b.WriteString(strings.Join(row, "\t") + "\n")
	}
	put(t, dir, "frogs.tsv", b.String())
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, id := range findings.Identify(r.Findings, r.Captures) {
		out = append(out, id.Fingerprint()+" "+fmt.Sprintf("%+v", id))
	}
	return out
}

func withoutSeparator(lines []string) []string {
	return slices.DeleteFunc(slices.Clone(lines), func(l string) bool { return strings.Contains(l, "separator-guessed") })
}

// A new clean frog leaves the findings that hang on cells and words as they
// are; only what rests on statistics may change.
func TestANewRowMovesNothing(t *testing.T) {
	rows := slipsSheet()
	more := slices.Insert(slices.Clone(rows), 2, []string{"900", "2024-05-03", "Rana temporaria", "f", "58.1", "30.2", "24.7", "5", ""})
	onCells := func(lines []string) []string {
		return slices.DeleteFunc(slices.Clone(lines), func(l string) bool {
			rule := strings.TrimPrefix(strings.Fields(l)[1], "{Rule:")
			return strings.HasPrefix(rule, "value-") || strings.HasPrefix(rule, "shape-") || rule == "values-repeat"
		})
	}
	sameFingerprints(t, onCells(checked(t, "frogs.csv", rows)), onCells(checked(t, "frogs.csv", more)))
}
