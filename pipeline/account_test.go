package pipeline_test

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/account"
	"spadefoot/pipeline/quantity"
	"spadefoot/pipeline/record/need"
)

// kinds are columns of every kind, with what people write in them.
var kinds = []struct {
	heading, meaning string
	texts            []string
}{
	{"Sex", "term: sex", []string{"M", "F", "F (gravid)", "male?", "zwitter", "-", "NA", "?", "juv"}},
	{"Stage", "term: lifeStage", []string{"ad", "adult", "metamorph of the year", "n/a", "subad."}},
	{"Species", "term: scientificName", []string{"Rana temporaria", "R. temporaria", "brown frog, big", "unknown", "none"}},
	{"Date", "term: eventDate", []string{"2023-05-12", "12 May 2023", "31.02.2023", "sometime in May", "-"}},
	{"Time", "term: eventTime", []string{"22:10", "10.15 pm", "after dusk", "25:71"}},
	{"Site", "term: locality", []string{"Tern Slough", "Mill  Ditch", "unknown pond", "Null", "\"the\" Fen"}},
	{"Place code", "term: locationID", []string{"TS-1", "MD", "lost"}},
	{"By", "term: recordedBy", []string{"Nan", "T. Okafor", "I. Varga", "NA", "Null"}},
	{"Notes", "term: occurrenceRemarks", []string{"dead on road", "missing left forelimb", "not weighed, scale frozen", "toe clip \\ \"7\"", "two\nlines", "none"}},
	{"Mark", "term: organismID", []string{"A1", "A2", "no mark"}},
	{"Count", "term: individualCount", []string{"1", "2 or 3", "many", "0", "1.0"}},
	{"Lat", "term: decimalLatitude", []string{"45.1", "45° 6' N", "N of the bridge", "-99"}},
	{"Lon", "term: decimalLongitude", []string{"-76.2", "76° 12' W", "far east", ""}},
	{"Written lat", "term: verbatimLatitude", []string{"45.10", "45 06", "x"}},
	{"Position", "term: verbatimCoordinates", []string{"45.1 N, 76.2 W", "18T 512345 4998765", "by the oak"}},
	{"Datum", "term: geodeticDatum", []string{"WGS84", "NAD27", "odd datum"}},
	{"Height", "term: minimumElevationInMeters", []string{"97", "320 ft", "90-100", "low"}},
	{"Year", "term: year", []string{"2023", "'23"}},
	{"Object", "term: dynamicProperties", []string{`{"mood": "calm"}`, `{"verbatim": 7}`, "not an object"}},
	{"Method", "term: measurementMethod", []string{"by caliper", "by eye"}},
	{"Measured by", "term: measurementDeterminedBy", []string{"T. Okafor", "Nan"}},
	{"SVL", "measurement: snoutVentLength, unit: mm", []string{"57.5", "57,5", "57 mm dead", "not measured", "-", "3 1/4 in", "<20", "40-42", "57 / 19 g", "57.5?", "see book", "-99", "escaped", "12 furlongs"}},
	{"HW", "measurement: headWidth, unit: mm", []string{"19", "19.30", "0", "none of it", "#DIV/0!"}},
	{"Gross", "weighing: gross, unit: g", []string{"29", "29.5 g", "too heavy", "2 oz", "NA", "29 wet"}},
	{"Tare", "weighing: tare, unit: g", []string{"4.5", "4", "0", "no bag"}},
	{"Net", "weighing: net, unit: g", []string{"25", "24.5", "lost"}},
	{"Bag", "weighing: bag", []string{"B2", "none", "-"}},
	{"Scale", "weighing: scale", []string{"balance", "old one"}},
	{"Typed", "aside: says nothing of the animal", []string{"x", "yes"}},
	{"Odd", "", []string{"calm", "3.5", "verbatim", "n/a"}},
}

// single are meanings that only one column of a table may have.
func single(meaning string) bool {
	return strings.HasPrefix(meaning, "weighing") || strings.HasPrefix(meaning, "measurement")
}

// randomSurvey makes a mapping of random columns, several of one term among them, and
// a sheet to it.
func randomSurvey(r *rand.Rand, rows int) (mapping string, sheet [][]string) {
	head := []string{"Field No"}
	lines := []string{"    - {heading: Field No, term: recordNumber}"}
	var columns []int
	used := map[string]bool{}
	for range 6 + r.IntN(14) {
		k := r.IntN(len(kinds))
		heading, meaning := kinds[k].heading, kinds[k].meaning
		if used[heading] {
			if single(meaning) {
				continue
			}
			heading += " " + string(rune('b'+len(head)))
		}
		used[kinds[k].heading] = true
		columns = append(columns, k)
		head = append(head, heading)
		if meaning != "" {
			extra := ""
			if r.IntN(8) == 0 && !strings.HasPrefix(meaning, "aside") {
				extra = ", carryDown: true"
			}
			lines = append(lines, fmt.Sprintf("    - {heading: %s, %s%s}", heading, meaning, extra))
		}
	}
	sheet = [][]string{head}
	for i := range rows {
		row := []string{strconv.Itoa(i + 1)}
		for _, k := range columns {
			text := ""
			if r.IntN(5) > 0 {
				text = kinds[k].texts[r.IntN(len(kinds[k].texts))]
			}
			if text != "" && r.IntN(12) == 0 {
				text = `"` // as above
			}
			row = append(row, text)
		}
		sheet = append(sheet, row)
	}
	return strings.Join(lines, "\n"), sheet
}

const anySurvey = `dataset:
  id: https://marrow-creek.invalid/datasets/any
  title: Any
  description: Any sheet at all.
  licence: CC0-1.0
  creators: [{given: Inga, family: Varga, email: inga@marrow-creek.invalid}]
  language: en
survey: {timezone: America/Toronto}
archive: {package: true}
instruments:
  - {name: balance, kind: scale, graduation: 0.1, unit: g}
sheets:
- file: frogs.csv
  mapping:
    name: any
    key: [recordNumber]
    headings:
`

// Of random sheets under random mappings no text is lost: what is in a cell
// is in the archive, or is a mark, or its column was set aside; the run's
// own account says the same, and both walks say it alike.
func TestNoTextIsLost(t *testing.T) {
	for seed := range uint64(need.Times(10, 40)) {
		t.Run(strconv.FormatUint(seed, 10), func(t *testing.T) {
			t.Parallel()
			mapping, sheet := randomSurvey(rand.New(rand.NewPCG(seed, 11)), 12)
			dir := t.TempDir()
			put(t, dir, "survey.yaml", anySurvey+indented(mapping))
			put(t, dir, "frogs.csv", sheetCSV(t, sheet))
			whole, parts := t.TempDir(), t.TempDir()
			if _, err := pipeline.Run(context.Background(), dir, whole, pipeline.Options{}); err != nil {
				t.Fatalf("%v\n%s", err, mapping)
			}
			accountOf(t, whole, mapping, sheet)
			if _, err := pipeline.Run(context.Background(), dir, parts, pipeline.InParts(5, 4)); err != nil {
				t.Fatalf("in parts: %v\n%s", err, mapping)
			}
			if a, b := cellsOf(t, whole), cellsOf(t, parts); fmt.Sprint(a) != fmt.Sprint(b) {
				t.Errorf("%v in memory, %v in parts", a, b)
			}
		})
	}
}

func indented(lines string) string {
	return strings.ReplaceAll("  "+lines, "\n    -", "\n      -") + "\n"
}

func sheetCSV(t *testing.T, rows [][]string) string {
	t.Helper()
	var b strings.Builder
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

type columnCells struct {
	Heading, Meaning string
	Cells            account.Counts
}

func cellsOf(t *testing.T, out string) []columnCells {
	t.Helper()
	var run struct {
		Tables []struct{ Columns []columnCells }
	}
	if err := json.Unmarshal(files(t, out)["run.json"], &run); err != nil {
		t.Fatal(err)
	}
	var all []columnCells
	for _, table := range run.Tables {
		all = append(all, table.Columns...)
	}
	return all
}

// accountOf looks for every text of the sheet in the files by itself, and counts
// the cells that hold something.
func accountOf(t *testing.T, out, mapping string, sheet [][]string) {
	t.Helper()
	all := files(t, out)
	archive := textOf(t, all, func(name string) bool {
		return name == "darwin-core/occurrence.csv" || name == "darwin-core/measurementorfact.csv"
	})
	tables := textOf(t, all, func(name string) bool {
		return strings.HasPrefix(name, "data-package/") && strings.HasSuffix(name, ".csv")
	})
	aside := map[string]bool{}
	for _, c := range cellsOf(t, out) {
		if c.Cells.Read != c.Cells.Sum() {
			t.Errorf("%s: %+v", c.Heading, c.Cells)
		}
		aside[c.Heading] = strings.HasPrefix(c.Meaning, "set aside")
	}
	for _, row := range sheet[1:] {
		for i, cell := range row {
			cell = strings.Join(strings.Fields(cell), " ")
			if cell == `"` || quantity.Mark(cell) || aside[sheet[0][i]] || strings.HasPrefix(cell, "{") {
				continue
			}
			for name, text := range map[string]string{"archive": archive, "data package": tables} {
				if !strings.Contains(text, cell) && !strings.Contains(text, strings.ReplaceAll(cell, `\`, `\\`)) {
					t.Errorf("%q under %s stands nowhere in the %s\n%s", cell, sheet[0][i], name, mapping)
				}
			}
		}
	}
}

// textOf is what is in the fields of some tables, and in the objects that are
// fields.
func textOf(t *testing.T, all map[string][]byte, is func(name string) bool) string {
	t.Helper()
	var b strings.Builder
	for name := range all {
		if !is(name) {
			continue
		}
		rows, err := csv.NewReader(strings.NewReader(string(all[name]))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows {
			for _, field := range row {
				b.WriteString(field + "\n")
				var object any
				if json.Unmarshal([]byte(field), &object) == nil {
					fmt.Fprintln(&b, object)
				}
			}
		}
	}
	return strings.Join(strings.Fields(strings.ReplaceAll(b.String(), `\"`, `"`)), " ")
}
