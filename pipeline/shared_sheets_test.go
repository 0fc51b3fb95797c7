package pipeline_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/sheet"
)

// Nine tables of public repositories, drafted and run untouched (sources and
// licences in ../shared/opendata/README.md): every row is a capture, and every
// cell stands in the archive as a text or, where it is a number, as that number
// in some unit; and no method and no unit is stated that the sheet does not state,
// unless the remark says that the unit was guessed.
func TestOpenSheetsLoseNothing(t *testing.T) {
	eachOpenSheet(t, func(t *testing.T, path, tab, survey string) {
		out := t.TempDir()
		if _, err := pipeline.Run(context.Background(), survey, out, pipeline.Options{}); err != nil {
			t.Fatal(err)
		}
		compareSheet(t, path, tab, publishedRows(t, out, tab))
		nothingInvented(t, path, tab, out)
	})
}

// eachOpenSheet drafts each of the tables, and hands over the sheet and the survey.
func eachOpenSheet(t *testing.T, do func(t *testing.T, path, tab, survey string)) {
	folder := need.Shared(t, "opendata/sheets")
	names, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if !name.IsDir() {
			continue
		}
		t.Run(name.Name(), func(t *testing.T) {
			t.Parallel()
			about := csvLines(t, filepath.Join(folder, name.Name(), "about.csv"))[0]
			path := filepath.Join(folder, name.Name(), about["file"])
			info, err := os.Stat(path)
			if err != nil {
				t.Skip("the sheet is not here")
			}
			if info.Size() > 1<<20 {
				need.Fullest(t)
			}
			survey := filepath.Join(t.TempDir(), "survey")
			if _, err := draft.Write(context.Background(), []string{path}, survey, draft.Options{}); err != nil {
				t.Fatal(err)
			}
			do(t, path, about["tab"], survey)
		})
	}
}

// compareSheet looks for every cell of a sheet below its first line among what
// was published of its row.
func compareSheet(t *testing.T, path, tab string, published map[int]string) {
	t.Helper()
	o := sheet.Options{}
	if tab != "" {
		o.Tabs = []string{tab}
	}
	sheets, _, err := sheet.Read(filepath.Base(path), path, o)
	if err != nil || len(sheets) != 1 {
		t.Fatal(len(sheets), err)
	}
	cells, lost := 0, 0
	for _, row := range sheets[0].Rows[1:] {
		text, there := published[row.Number]
		if some := slices.ContainsFunc(row.Cells, func(c record.Cell) bool { return !c.Empty() }); some && !there {
			t.Errorf("row %d is not a capture", row.Number)
		}
		var numbers []float64
		for _, c := range row.Cells {
			written := strings.Join(strings.Fields(c.Text), " ")
			if written == "" || written == "NA" || c.Kind == record.Date || c.Kind == record.Bool {
				continue
			}
			if cells++; strings.Contains(text, written) {
				continue
			}
			if numbers == nil {
				numbers = numbersIn(text)
			}
			if x, err := strconv.ParseFloat(strings.Replace(written, ",", ".", 1), 64); err == nil && inSomeUnit(numbers, math.Abs(x)) {
				continue
			}
			if lost++; lost < 4 {
				t.Errorf("%s, %q stands nowhere", record.Address{File: filepath.Base(path), Row: c.Row, Column: c.Column}, written)
			}
		}
	}
	t.Logf("%d cells, %d lost", cells, lost)
	if lost > 0 {
		t.Errorf("%d of %d cells are lost", lost, cells)
	}
}

var (
	convertedFrom = regexp.MustCompile(`as written: "[^"]*" in (\S+)`)
	justReplicate = regexp.MustCompile(`^replicate \d+$`)
)

// nothingInvented looks for the method and the unit of every measurement in the
// sheet.
func nothingInvented(t *testing.T, path, tab, out string) {
	t.Helper()
	o := sheet.Options{}
	if tab != "" {
		o.Tabs = []string{tab}
	}
	sheets, _, err := sheet.Read(filepath.Base(path), path, o)
	if err != nil || len(sheets) != 1 {
		t.Fatal(len(sheets), err)
	}
	var b strings.Builder
	for _, row := range sheets[0].Rows {
		for _, c := range row.Cells {
			b.WriteString(strings.ToLower(c.Text) + "\n")
		}
	}
	written := b.String()
	measurements := filepath.Join(out, "darwin-core", "measurementorfact.csv")
	if _, err := os.Stat(measurements); err != nil {
		return // none
	}
	invented := 0
	for i, row := range csvLines(t, measurements) {
		unit, remark := row["measurementUnit"], row["measurementRemarks"]
		if m := convertedFrom.FindStringSubmatch(remark); m != nil {
			unit = m[1]
		}
		method := row["measurementMethod"]
		switch {
		case method != "" && !justReplicate.MatchString(method) && !strings.Contains(written, strings.ToLower(method)):
			t.Errorf("row %d: the method %q stands nowhere in the sheet", i+2, method)
		case unit != "" && !strings.Contains(remark, "guessed: "+unit) && !strings.Contains(written, strings.ToLower(unit)):
			t.Errorf("row %d: the unit %q stands nowhere in the sheet, and is not said to be a guess: %q", i+2, unit, remark)
		default:
			continue
		}
		if invented++; invented == 4 {
			t.FailNow()
		}
	}
}

var numeral = regexp.MustCompile(`[0-9]+(?:[.,][0-9]+)?`)

func numbersIn(text string) []float64 {
	out := []float64{}
	for _, s := range numeral.FindAllString(text, -1) {
		if x, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err == nil {
			out = append(out, x)
		}
	}
	return out
}

// inSomeUnit reports whether a number is among others, or a tenth, ten times, a
// hundred times it or so.
func inSomeUnit(numbers []float64, x float64) bool {
	for _, y := range numbers {
		for _, k := range []float64{1, 10, 100, 1000, .1, .001} {
			if math.Abs(y-k*x) < 1e-6*max(1, k*x) {
				return true
			}
		}
	}
	return false
}

// publishedRows returns what was published of each row of a sheet.
func publishedRows(t *testing.T, out, tab string) map[int]string {
	t.Helper()
	byID := map[string]*strings.Builder{}
	for _, name := range []string{"occurrence.csv", "measurementorfact.csv"} {
		path := filepath.Join(out, "darwin-core", name)
		if _, err := os.Stat(path); err != nil {
			continue // no measurement
		}
		for _, row := range csvLines(t, path) {
			b := byID[row["occurrenceID"]]
			if b == nil {
				b = &strings.Builder{}
				byID[row["occurrenceID"]] = b
			}
			for _, text := range row {
				b.WriteString(strings.Join(strings.Fields(strings.ReplaceAll(text, `\"`, `"`)), " ") + " \x00 ")
			}
		}
	}
	texts := map[int]string{}
	for _, row := range csvLines(t, filepath.Join(out, "captures.csv")) {
		n, err := strconv.Atoi(row["row"])
		if b := byID[row["occurrenceID"]]; err == nil && row["sheet"] == tab && b != nil {
			texts[n] = b.String()
		}
	}
	return texts
}

// csvLines reads a table by its heading.
func csvLines(t *testing.T, path string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff")))).ReadAll()
	if err != nil {
		t.Fatal(path, err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		line := map[string]string{}
		for i, text := range row {
			line[rows[0][i]] = text
		}
		out = append(out, line)
	}
	return out
}
