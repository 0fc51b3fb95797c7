package pipeline

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report/findings"
)

// A survey that is walked in parts, all of it in one part, comes to the very
// same files as one that is held in memory; in smaller parts the archive is the
// same.
func TestLongWalkAgreesWithTheShort(t *testing.T) {
	for _, folder := range []string{"demo", "notebook"} {
		t.Run(folder, func(t *testing.T) {
			survey := filepath.Join("..", "testdata", folder)
			short := t.TempDir()
			want, err := Run(context.Background(), survey, short, Options{Version: "test"})
			if err != nil {
				t.Fatal(err)
			}
			for name, o := range map[string]Options{
				"one part": {Version: "test", wholeRows: 1, partRows: 1 << 20},
				"parts":    {Version: "test", wholeRows: 1, partRows: 40},
			} {
				long := t.TempDir()
				got, err := Run(context.Background(), survey, long, o)
				if err != nil {
					t.Fatal(name, err)
				}
				if got.Captures != nil {
					t.Fatal(name, "the survey was held in memory")
				}
				if got.Counts.Occurrences != want.Counts.Occurrences || got.Counts.Measurements != want.Counts.Measurements {
					t.Errorf("%s: %+v, want %+v", name, got.Counts, want.Counts)
				}
				if name == "one part" {
					sameFiles(t, short, long)
					continue
				}
				file := filepath.Join("darwin-core", "occurrence.csv")
				if a, b := readFile(t, short, file), readFile(t, long, file); !bytes.Equal(a, b) {
					t.Errorf("%s differs in parts: %s", file, firstDifference(a, b))
				}
			}
		})
	}
}

func readFile(t *testing.T, folder, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

const longSurvey = `dataset:
  id: https://marrow-creek.invalid/long
  title: Long
  description: Invented captures.
  licence: https://creativecommons.org/publicdomain/zero/1.0/legalcode
  creators: [{family: Varga}]
sheets: [{file: frogs.csv}]
mapping:
  key: [recordNumber]
  headings:
    - {heading: No, term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Species, term: scientificName}
    - {heading: SVL, measurement: snoutVentLength, unit: mm}
`

// longSheet is a sheet of so many frogs; more is written below them.
func longSheet(n int, more string) string {
	var b strings.Builder
	b.WriteString("No,Date,Species,SVL\n")
	for i := range n {
		fmt.Fprintf(&b, "MC%04d,2024-05-%02d,Lithobates clamitans,%d.%d\n", i, 1+i%28, 55+i%17, i*7%10)
	}
	return b.String() + more
}

// Where rows further down are not as the first ones said, all of them together
// are asked: a second table far below is read as it is in a short survey.
func TestLongWalkThatMustBeHeldAfterAll(t *testing.T) {
	second := "\n\nSecond visit\n\nNo,Date,Weather,Species,SVL\nMX1,2024-06-01,rain,Lithobates clamitans,60.1\nMX2,2024-06-01,rain,Lithobates clamitans,61.2\nMX3,2024-06-02,sun,Lithobates clamitans,58.8\n"
	for _, s := range []struct {
		name, more string
		captures   int
	}{{"one table", "", 3_000}, {"two tables", second, 3_003}} {
		folder := t.TempDir()
		writeText(t, folder, "survey.yaml", longSurvey)
		writeText(t, folder, "frogs.csv", longSheet(3_000, s.more))
		out := t.TempDir()
		r, err := Run(context.Background(), folder, out, ToldFrom(2_000, 500))
		if err != nil {
			t.Fatal(s.name, err)
		}
		if r.Counts.Captures != s.captures || r.Counts.Occurrences != s.captures {
			t.Errorf("%s: %+v, want %d captures", s.name, r.Counts, s.captures)
		}
		if held := r.Captures != nil; held != (s.more != "") {
			t.Errorf("%s: held in memory: %v", s.name, held)
		}
	}
}

// Keys that are repeated or missing, rows that are the same to the letter,
// recaptures and a sheet handed in twice are found across parts.
func TestLongWalkComparesAcrossParts(t *testing.T) {
	folder := t.TempDir()
	text := strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Mark, term: organismID}\n    - {heading: Sex, term: sex}\n    - {heading: SVL", 1)
	writeText(t, folder, "survey.yaml", strings.Replace(text, "[{file: frogs.csv}]", "[{file: frogs.csv}, {file: again.csv}]", 1))
	var b strings.Builder
	b.WriteString("No,Date,Species,Mark,Sex,SVL\n")
	for i := range 400 {
		mark, sex := "", "male"
		if i%100 == 7 {
			mark = "T9" // four captures of one animal, the last of them a female
		}
		if i == 307 {
			sex = "female"
		}
		fmt.Fprintf(&b, "MC%04d,2024-%02d-%02d,Lithobates clamitans,%s,%s,%d.%d\n", i, 4+i/100, 1+i%28, mark, sex, 55+i%17, i*7%10)
	}
	b.WriteString("MC0003,2024-09-01,Lithobates clamitans,,male,51.3\n")
	b.WriteString(",2024-09-02,Lithobates clamitans,,male,52.3\n,2024-09-02,Lithobates clamitans,,male,52.3\n")
	writeText(t, folder, "frogs.csv", b.String())
	lines := strings.SplitAfter(b.String(), "\n")
	writeText(t, folder, "again.csv", lines[0]+strings.Join(lines[40:140], ""))
	short, long := t.TempDir(), t.TempDir()
	want, err := Run(context.Background(), folder, short, Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	for _, rule := range []string{"key-repeated", "key-missing", "recapture-sex", "file-twice"} {
		if want.Tally.ByRule[rule] == 0 {
			t.Errorf("%s is not found in one part", rule)
		}
	}
	got, err := Run(context.Background(), folder, long, Options{Version: "test", wholeRows: 1, partRows: 50})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want.Tally.ByRule, got.Tally.ByRule); d != "" {
		t.Errorf("findings by rule: %s", d)
	}
	for _, name := range []string{"captures.csv", "darwin-core/occurrence.csv", "darwin-core/measurementorfact.csv", "findings.csv"} {
		if a, b := readFile(t, short, name), readFile(t, long, name); !bytes.Equal(a, b) {
			t.Errorf("%s differs: %s", name, firstDifference(a, b))
		}
	}
	rows, inParts := earlierRows.FindAll(readFile(t, short, "report.html"), -1), earlierRows.FindAll(readFile(t, long, "report.html"), -1)
	if d := cmp.Diff(rows, inParts); d != "" {
		t.Errorf("earlier captures of recaptures: %s", d)
	}
	for _, part := range []string{"mark <span class=\"written\">T9</span>, frogs.csv, row 209:", "<dt>Mark</dt><dd>T9</dd>", "<dt>Date</dt><dd>2024-06-12</dd>", "class=\"here\"><dt>Sex"} {
		if !bytes.Contains(bytes.Join(rows, nil), []byte(part)) {
			t.Errorf("no earlier capture shows %s: %s", part, bytes.Join(rows, []byte("\n")))
		}
	}
}

// earlierRows are the rows that a report shows of the captures before recaptures.
var earlierRows = regexp.MustCompile(`(?s)The earlier capture.*?</dl>`)

func writeText(t *testing.T, folder, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func sameFiles(t *testing.T, want, got string) {
	t.Helper()
	err := filepath.WalkDir(want, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, _ := filepath.Rel(want, path)
		a, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		b, err := os.ReadFile(filepath.Join(got, name))
		if err != nil {
			return err
		}
		switch name {
		case "report.html":
			blank := []byte(">blank<")
			if m, n := bytes.Count(a, blank), bytes.Count(b, blank); m != n {
				t.Errorf("%d cells in doubt are shown as blank, want %d", n, m)
			}
			a, b = entries(a), entries(b)
		case "findings.json":
			a, b = rounded(a), rounded(b)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs: %s", name, firstDifference(a, b))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

var number = regexp.MustCompile(`-?\d+\.\d{6,}(e-?\d+)?`)

// rounded writes figures to nine digits: animals are summed up in the order in
// which they are read, not in that of their sheets' names.
func rounded(text []byte) []byte {
	return number.ReplaceAllFunc(text, func(s []byte) []byte {
		v, _ := strconv.ParseFloat(string(s), 64)
		return strconv.AppendFloat(nil, v, 'g', 9, 64)
	})
}

var row = regexp.MustCompile(`(?s)<dl class="row.*?</dl>`)

// entries is the page without the rows beside its entries, of which the long
// walk shows the cells that were read.
func entries(page []byte) []byte { return row.ReplaceAll(page, nil) }

func firstDifference(a, b []byte) string {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return "at byte " + string(rune('0'+n%10)) + "\n" + string(a[max(0, n-80):min(len(a), n+120)]) + "\n" + string(b[max(0, n-80):min(len(b), n+120)])
}

// A walk that is told to stop does so between two parts and says where.
func TestLongWalkStops(t *testing.T) {
	for _, stage := range []string{"read", "screen", "standardise", "prove"} {
		ctx, cancel := context.WithCancel(context.Background())
		out := filepath.Join(t.TempDir(), "out")
		_, err := Run(ctx, filepath.Join("..", "testdata", "demo"), out, Options{Version: "test", wholeRows: 1, partRows: 30, Progress: func(s string) {
			if s == stage {
				cancel()
			}
		}})
		if !errors.Is(err, context.Canceled) || !strings.Contains(err.Error(), stage) {
			t.Errorf("%s: %v", stage, err)
		}
		if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s: something was left behind", stage)
		}
	}
}

// Judging alone comes to the same in parts, and leaves nothing anywhere.
func TestLongCheckAgreesWithTheShort(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	for _, folder := range []string{"demo", "notebook"} {
		survey := filepath.Join("..", "testdata", folder)
		want, err := Check(context.Background(), survey, Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Check(context.Background(), survey, Options{wholeRows: 1, partRows: 1 << 20})
		if err != nil {
			t.Fatal(err)
		}
		if got.Captures != nil || len(want.Captures) != got.Counts.Captures {
			t.Errorf("%s: %d captures held, %d counted, want %d", folder, len(got.Captures), got.Counts.Captures, len(want.Captures))
		}
		if d := cmp.Diff(want.Tally, got.Tally, cmpopts.EquateApprox(1e-9, 0)); d != "" {
			t.Errorf("%s: %s", folder, d)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(temporary, "*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Causes of many cells are one finding each, wherever the ends of parts cut them, and
// every file is the same: the lengths of one observer on many days in centimetres, and
// values that slid into the next row.
func TestCausesOfManyInParts(t *testing.T) {
	folder := t.TempDir()
	text := strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Observer, term: recordedBy}\n    - {heading: Tibia, measurement: tibiaLength, unit: mm}\n    - {heading: SVL", 1)
	writeText(t, folder, "survey.yaml", text)
	r := rand.New(rand.NewPCG(4, 2))
	var b strings.Builder
	b.WriteString("No,Date,Species,Observer,Tibia,SVL\n")
	before := 0.0
	for i := range 900 {
		length := 65 * math.Exp(0.1*r.NormFloat64())
		tibia := 0.48 * length * math.Exp(0.03*r.NormFloat64())
		observer := "I. Varga"
		if i > 180 && i < 210 {
			tibia, before = before, tibia
		} else {
			before = tibia
		}
		if i >= 330 && i < 660 && i/30%2 == 1 {
			observer, length, tibia = "T. Okafor", length/10, tibia/10
		}
		fmt.Fprintf(&b, "MC%04d,2024-%02d-%02d,Lithobates clamitans,%s,%.2f,%.2f\n", i, 4+i/300, 1+i/30%10, observer, tibia, length)
	}
	writeText(t, folder, "frogs.csv", b.String())
	told := alikeInParts(t, folder, Options{}, outputFiles...).Tally.ByRule
	if told["column-slip"] != 1 || told["rows-shifted"] != 1 {
		t.Errorf("%v", told)
	}
}

// So is a slip from one row of a sheet to another, whoever wrote and on whatever day.
func TestSlipOfARunOfRowsInParts(t *testing.T) {
	folder := t.TempDir()
	text := strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Observer, term: recordedBy}\n    - {heading: Tibia, measurement: tibiaLength, unit: mm}\n    - {heading: SVL", 1)
	writeText(t, folder, "survey.yaml", text)
	r := rand.New(rand.NewPCG(4, 3))
	var b strings.Builder
	b.WriteString("No,Date,Species,Observer,Tibia,SVL\n")
	for i := range 900 {
		length := 65 * math.Exp(0.1*r.NormFloat64())
		tibia := 0.48 * length * math.Exp(0.03*r.NormFloat64())
		if i >= 150 && i < 470 {
			tibia /= 10
		}
		fmt.Fprintf(&b, "MC%04d,2024-%02d-%02d,Lithobates clamitans,%s,%.2f,%.1f\n", i, 4+i%5, 1+i%28, []string{"I. Varga", "T. Okafor"}[i%2], tibia, length)
	}
	writeText(t, folder, "frogs.csv", b.String())
	told := alikeInParts(t, folder, Options{}, outputFiles...).Tally.ByRule
	if told["column-slip"] != 1 || told["value-off-line"]+told["value-far"]+told["shape-unusual"] > 1 {
		t.Errorf("%v", told)
	}
}

// A mistake in the thresholds, or a folder that cannot be written to, is reported as
// in a short survey.
func TestLongWalkThatCannotBegin(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", longSurvey+"rules: {screen: {modifiedQ: 3}}\n")
	writeText(t, folder, "frogs.csv", longSheet(300, ""))
	for _, o := range []Options{{}, {wholeRows: 1}} {
		_, err := Check(context.Background(), folder, o)
		var call *CallError
		if !errors.As(err, &call) || !strings.Contains(err.Error(), "modifiedQ") {
			t.Errorf("parts from %d rows on: %v", o.wholeRows, err)
		}
	}
	writeText(t, folder, "survey.yaml", longSurvey)
	t.Setenv("TMPDIR", filepath.Join(t.TempDir(), "none"))
	var output *OutputError
	if _, err := Check(context.Background(), folder, Options{wholeRows: 1}); !errors.As(err, &output) {
		t.Errorf("no folder to work in: %v", err)
	}
}

// What the cells of a sheet are read against may fail after its table was found:
// the walk ends with that error, and the table is not ended as if it had begun.
func TestWalkWhoseTableCannotBegin(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", longSurvey)
	writeText(t, folder, "frogs.csv", longSheet(30, ""))
	for _, o := range []Options{{}, {wholeRows: 1}} {
		w, err := start(folder, o)
		if err != nil {
			t.Fatal(err)
		}
		w.temp = t.TempDir()
		w.survey.Window.Timezone = "Marrow/Creek" // known when survey.yaml was checked, and not any more
		if err = w.walk(context.Background(), o, judged); err == nil || !strings.Contains(err.Error(), "Marrow/Creek") {
			t.Errorf("parts from %d rows on: %v", o.wholeRows, err)
		}
		w.close(&err)
	}
}

// Bags that were left in on a night are told from all its rows, in whatever parts
// they stand, and their animals have no condition.
func TestBagsLeftInAcrossParts(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", strings.Replace(longSurvey, "  key: [recordNumber]\n", "  key: [recordNumber]\n  session: [eventDate]\n  weighing: {way: same-row, unit: g}\n", 1)+`    - {heading: Gross, weighing: gross}
    - {heading: Bag, weighing: tare}
    - {heading: Mass, weighing: net}
`)
	draw := rand.New(rand.NewPCG(5, 5))
	var b strings.Builder
	b.WriteString("No,Date,Species,SVL,Gross,Bag,Mass\n")
	for i := range 300 {
		length := 60 * math.Exp(0.1*draw.NormFloat64())
		mass, bag := 22*math.Pow(length/60, 3)*math.Exp(0.06*draw.NormFloat64()), 4.2+0.2*draw.NormFloat64()
		fmt.Fprintf(&b, "MC%04d,2024-05-%02d,Lithobates clamitans,%.1f,", i, 1+i/60, length)
		switch {
		case i/60 != 2:
			fmt.Fprintf(&b, "%.1f,%.1f,\n", mass+bag, bag)
		case i%3 == 0:
			fmt.Fprintf(&b, ",,%.1f\n", mass+bag)
		default:
			fmt.Fprintf(&b, ",,%.1f\n", mass)
		}
	}
	writeText(t, folder, "frogs.csv", b.String())
	if got := alikeInParts(t, folder, Options{}, outputFiles...).Tally.ByRule["bags-left-in"]; got != 1 {
		t.Errorf("%d nights are told", got)
	}
}

// What names single findings is the same however the survey is cut: identities,
// known findings, and the files for continuous integration.
func TestFindingsAreToldAlikeInParts(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", longSurvey)
	sheet := longSheet(300, ",2024-05-03,Lithobates clamitans,56.1\n,2024-05-03,Lithobates clamitans,56.1\n,,Lithobates clamitans,wet\nMC0007,2024-09-09,Rana nobody,12\nMC0009,x,Lithobates clamitans,5?\n")
	writeText(t, folder, "frogs.csv", strings.Replace(sheet, "MC0123,2024-05-12", "MC0123,2024-05-40", 1))
	told := func(o Options, known findings.KnownFindings) map[string]string {
		out := map[string]string{}
		o.OnResult = func(r *Result) error {
			results, err := r.Results(folder, "test", known)
			results.Failing = record.Warning
			for name, write := range map[string]func(io.Writer, findings.Results) error{"sarif": findings.SARIF, "junit": findings.JUnit, "markdown": findings.Markdown,
				"known": func(w io.Writer, r findings.Results) error { return findings.WriteKnown(w, r.Findings, nil) }} {
				var b bytes.Buffer
				err = errors.Join(err, write(&b, results))
				out[name] = string(rounded(b.Bytes()))
			}
			return err
		}
		if _, err := Check(context.Background(), folder, o); err != nil {
			t.Fatal(err)
		}
		return out
	}
	first := told(Options{}, nil)
	if n := strings.Count(first["known"], "\"fingerprint\""); n < 6 {
		t.Fatalf("%d findings", n)
	}
	known, err := findings.ReadKnown("known.json", []byte(first["known"]))
	if err != nil {
		t.Fatal(err)
	}
	for name, known := range map[string]findings.KnownFindings{"none known": nil, "some known": known[:3]} {
		want := told(Options{}, known)
		for _, rows := range []int{1 << 20, 2048, 64} {
			if d := cmp.Diff(want, told(Options{wholeRows: 1, partRows: rows}, known)); d != "" {
				t.Errorf("%s, parts of %d: %s", name, rows, d)
			}
		}
	}
}

// alikeInParts runs a survey held and in parts of 64, 2,048 and all captures, and
// holds the files against each other.
func alikeInParts(t *testing.T, folder string, o Options, names ...string) *Result {
	t.Helper()
	held := t.TempDir()
	o.Version = "test"
	want, err := Run(context.Background(), folder, held, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, rows := range []int{1 << 20, 2048, 64} {
		out := t.TempDir()
		o.wholeRows, o.partRows = 1, rows
		got, err := Run(context.Background(), folder, out, o)
		if err != nil {
			t.Fatal(rows, err)
		}
		if got.Captures != nil {
			t.Errorf("parts of %d: the survey was held in memory", rows)
		}
		if d := cmp.Diff(want.Tally.ByRule, got.Tally.ByRule); d != "" {
			t.Errorf("parts of %d: findings by rule: %s", rows, d)
		}
		for _, name := range names {
			if a, b := readFile(t, held, name), readFile(t, out, name); !bytes.Equal(a, b) {
				t.Errorf("parts of %d: %s differs: %s", rows, name, firstDifference(a, b))
			}
		}
	}
	return want
}

var outputFiles = []string{"captures.csv", "findings.csv", "run.json", "darwin-core/occurrence.csv", "darwin-core/measurementorfact.csv", "darwin-core/eml.xml"}

// Marks that were handed out again between two days are one finding, in however many
// parts their captures stand.
func TestMarksHandedOutAgainInParts(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Mark, term: organismID}\n    - {heading: SVL", 1))
	var b strings.Builder
	b.WriteString("No,Date,Species,Mark,SVL\n")
	for i := range 480 {
		mark, date, species := i%240, "2012-09-07", "Lithobates clamitans"
		switch {
		case i < 240:
		case mark < 40:
			if date = "2017-09-05"; mark%4 > 0 {
				species = "Anaxyrus americanus"
			}
		default:
			date = fmt.Sprintf("2013-09-%02d", 1+mark%28)
		}
		fmt.Fprintf(&b, "MC%04d,%s,%s,T%03d,%d.%d\n", i, date, species, mark, 55+mark%17, mark*7%10)
	}
	writeText(t, folder, "frogs.csv", b.String())
	r := alikeInParts(t, folder, Options{}, "findings.csv", "captures.csv")
	if n, others := r.Tally.ByRule["marks-begin-anew"], r.Tally.ByRule["recapture-species"]; n != 1 || others != 0 {
		t.Errorf("%d findings on marks handed out again, %d on single ones", n, others)
	}
}

// PeculiarSurvey writes a survey of frogs, of which every thirtieth has a short tibia
// whenever it is caught, be it by one observer or by two.
func PeculiarSurvey(t *testing.T) (folder string) {
	t.Helper()
	folder = t.TempDir()
	writeText(t, folder, "survey.yaml", strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Mark, term: organismID}\n    - {heading: By, term: recordedBy}\n    - {heading: Tibia, measurement: tibiaLength, unit: mm}\n    - {heading: Head W, measurement: headWidth, unit: mm}\n    - {heading: SVL", 1))
	draw := rand.New(rand.NewPCG(7, 1))
	var b strings.Builder
	b.WriteString("No,Date,Species,Mark,By,SVL,Tibia,Head W\n")
	var animals [150][3]float64
	for i := range animals {
		length := 65 * math.Exp(0.1*draw.NormFloat64())
		animals[i] = [3]float64{length, 0.5 * length * math.Exp(0.03*draw.NormFloat64()), 0.35 * length * math.Exp(0.03*draw.NormFloat64())}
		if i%30 == 0 {
			animals[i][1] *= 0.7
		}
	}
	for i := range 450 {
		mark, by := i%150, "IV"
		if mark < 60 && i >= 150 {
			by = "TO"
		}
		fmt.Fprintf(&b, "MC%04d,2024-%02d-%02d,Lithobates clamitans,T%03d,%s", i, 5+i/150, 1+mark%28, mark, by)
		for _, v := range animals[mark] {
			fmt.Fprintf(&b, ",%.1f", v*math.Exp(0.01*draw.NormFloat64()))
		}
		b.WriteString("\n")
	}
	writeText(t, folder, "frogs.csv", b.String())
	return folder
}

// An animal that is unusual is doubted once at most, in however many parts its captures
// stand.
func TestPeculiarAnimalsInParts(t *testing.T) {
	r := alikeInParts(t, PeculiarSurvey(t), Options{}, "findings.csv", "captures.csv")
	if n := r.Tally.Levels; n.Error != 0 || n.Warning != 3 {
		t.Errorf("%s, want 3 warnings: five animals are unusual, two of them for two observers", n)
	}
}

// Remedies are carried out, traced and told of in whatever part their cells are.
func TestRemediesInParts(t *testing.T) {
	folder := t.TempDir()
	writeText(t, folder, "survey.yaml", longSurvey)
	sheet := strings.NewReplacer("MC0007,2024-05-08", "MC0007,2024-05-99", "MC0250,2024-05-27,Lithobates clamitans,67", "MC0250,2024-05-27,Lithobates clamitans,670").Replace(longSheet(300, "MC0500,,Lithobates clamitans,wet\nMC0501,2024-05-02,Lithobates clamitans,wet\n"))
	writeText(t, folder, "frogs.csv", sheet)
	head := "file,sheet,row,column,capture,field,found,action,replacement,rule,who,when,why\n"
	good := head + `frogs.csv,,9,B,,,2024-05-99,replace,2024-05-08,,I. Varga,2024-06-01,misread
,,,,MC0250,snoutVentLength,670.0,replace,67.0,,I. Varga,2024-06-01,point forgotten
,,,,MC0500,snoutVentLength,wet,clear,,,I. Varga,2024-06-01,not measured
,,,,MC0501,snoutVentLength,wet,confirm,,number-unread,I. Varga,2024-06-01,as the notebook has it
,,,,MC0299,snoutVentLength,1,confirm,,value-extreme,I. Varga,2024-06-01,seen again
,,,,MC0999,snoutVentLength,61,clear,,,I. Varga,2024-06-01,no such frog
frogs.csv,,20,D,,,,,,value-extreme,,,
`
	writeText(t, folder, "remedies.csv", good)
	want := alikeInParts(t, folder, Options{}, outputFiles...)
	for _, rule := range []string{"remedy-unmatched", "remedy-undecided", "confirmation-lapsed"} {
		if want.Tally.ByRule[rule] == 0 {
			t.Errorf("no %s: %v", rule, want.Tally.ByRule)
		}
	}
	for _, c := range want.Captures {
		if c.Key == "MC0250" && (c.Readings[0].Text != "67.0" || !strings.Contains(c.Readings[0].Remark(), "replaced")) {
			t.Errorf("%+v", c.Readings[0])
		}
	}
	// What fits nowhere ends the run, and all of it is reported.
	writeText(t, folder, "remedies.csv", head+"frogs.csv,,9,B,,,2024-05-98,clear,,,I. Varga,2024-06-01,misread\n,,,,MC0250,snoutVentLength,671.0,clear,,,I. Varga,2024-06-01,misread\n")
	var said []string
	for _, o := range []Options{{}, {wholeRows: 1, partRows: 64}} {
		_, err := Check(context.Background(), folder, o)
		var call *CallError
		if !errors.As(err, &call) || !strings.Contains(err.Error(), "line 2") || !strings.Contains(err.Error(), "line 3") {
			t.Fatal(err)
		}
		said = append(said, err.Error())
	}
	if said[0] != said[1] {
		t.Error(cmp.Diff(said[0], said[1]))
	}
}

// Places are withheld in whatever part their captures are: the same is hidden,
// and the same stays hidden, in every file.
func TestPlacesAreWithheldInParts(t *testing.T) {
	folder := t.TempDir()
	text := strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Site, term: locality}\n    - {heading: Lat, term: decimalLatitude}\n    - {heading: Lon, term: decimalLongitude}\n    - {heading: Mark, term: organismID}\n    - {heading: Notes, term: occurrenceRemarks}\n    - {heading: SVL", 1)
	text = strings.Replace(text, "mapping:\n", "defaults: {country: Canada, stateProvince: Ontario}\nmapping:\n", 1)
	writeText(t, folder, "survey.yaml", strings.Replace(text, "[{file: frogs.csv}]", "[{file: frogs.csv}, {file: more.csv}]", 1))
	writeText(t, folder, "sensitive.csv", "taxon,grid,reason,locality\nGlyptemys insculpta,0.1,collectors,Eastern Ontario\n")
	text = strings.Replace(string(readFile(t, folder, "survey.yaml")), "mapping:\n", "tables: {checklist: checklist.csv}\nmapping:\n", 1)
	writeText(t, folder, "survey.yaml", text)
	writeText(t, folder, "checklist.csv", "scientificName\nGlyptemys insculpta\nLithobates clamitans\n")
	places := []string{"Heron Bluff,45.51237,-76.30418", "Tern Slough,45.41812,-76.19691", "Alder Seep,45.40003,-76.20417"}
	var b strings.Builder
	b.WriteString("No,Date,Species,Site,Lat,Lon,Mark,Notes,SVL,Shade\n")
	for i := range 400 {
		species, place, mark, notes := "Lithobates clamitans", places[1+i%2], "", "calling"
		if i%3 == 0 {
			species, place, mark, notes = "Glyptemys insculpta", places[i%2], fmt.Sprintf("T%d", i%30), "below Heron Bluff"
		}
		if i == 200 {
			mark = "T9" // the mark of a hidden animal, under another name
		}
		key := fmt.Sprintf("MC%04d", i)
		switch {
		case i%60 == 0:
			key = fmt.Sprintf("Heron Bluff %d", i%120) // to be withheld, in all parts
		case i == 100:
			key = "withheld" // of a capture that hides nothing
		}
		fmt.Fprintf(&b, "%s,2024-%02d-%02d,%s,%s,%s,%s,%d.%d,half\n", key, 4+i/100, 1+i%28, species, place, mark, notes, 155+i%17, i*7%10)
	}
	b.WriteString(",2024-09-02,Glyptemys insculpta,Heron Bluff,45.51237,-76.30418,,,16O.2,\n,2024-09-02,Glyptemys insculpta,Heron Bluff,45.51237,-76.30418,,,16O.2,\n")
	b.WriteString("MC0003,2024-09-01,Glyptemys insculpta,Heron Bluff,45.51237,-176.30418,,near Heron Bluff,wet,\n")
	writeText(t, folder, "frogs.csv", b.String())
	lines := strings.SplitAfter(b.String(), "\n")
	writeText(t, folder, "more.csv", lines[0]+strings.Replace(strings.Join(lines[41:60], ""), "MC", "MX", -1))
	writeText(t, folder, "remedies.csv", "file,sheet,row,column,capture,field,found,action,replacement,rule,who,when,why\n,,,,MC0300,snoutVentLength,\"166.0\",replace,167.0,,I. Varga,2024-06-01,seen at Heron Bluff\n,,,,MC0306,locality,Heron Bluff,replace,Heron Bluffs,,I. Varga,2024-06-01,as it is called\n")
	exact := filepath.Join(t.TempDir(), "exact.csv")
	want := alikeInParts(t, folder, Options{}, outputFiles...)
	if want.Tally.ByRule["place-withheld"] != 1 {
		t.Errorf("%v", want.Tally.ByRule)
	}
	var told []string
	for _, o := range []Options{{ExactPlaces: exact}, {ExactPlaces: exact, wholeRows: 1, partRows: 64}} {
		out := t.TempDir()
		if _, err := Run(context.Background(), folder, out, o); err != nil {
			t.Fatal(err)
		}
		told = append(told, string(readFile(t, filepath.Dir(exact), "exact.csv")))
		page := string(readFile(t, out, "report.html"))
		if !strings.Contains(string(readFile(t, out, "captures.csv")), "MC0003,frogs.csv,,404,1,1,") {
			t.Errorf("%+v: captures of a repeated key do not have the findings of that key, once", o)
		}
		for _, secret := range []string{"Heron Bluff", "45.51237"} {
			if strings.Contains(page, secret) || strings.Contains(string(readFile(t, out, "findings.json")), secret) {
				t.Errorf("%+v: %s is told", o, secret)
			}
		}
	}
	if told[0] != told[1] || strings.Count(told[0], "Heron Bluff") < 100 {
		t.Error(firstDifference([]byte(told[0]), []byte(told[1])))
	}
}

// Rows of remedies are proposed, and observers compared, however the survey is
// cut.
func TestProposalsAndObserversInParts(t *testing.T) {
	folder := t.TempDir()
	text := strings.Replace(longSurvey, "    - {heading: SVL", "    - {heading: Mark, term: organismID}\n    - {heading: By, term: recordedBy}\n    - {heading: SVL", 1)
	writeText(t, folder, "survey.yaml", text)
	var b strings.Builder
	b.WriteString("No,Date,Species,Mark,By,SVL\n")
	for i := range 300 {
		fmt.Fprintf(&b, "MC%04d,2024-05-%02d,Lithobates clamitans,M%d,%s,%d.%d\n", i, 1+i%28, i%40, []string{"A. Osei", "I. Varga", "", "N. Reyes & A. Osei"}[i/80], 55+i%40, (i*7+i/40)%10)
	}
	b.WriteString(",2024-06-01,Lithobates clamitans,M3,I. Varga,wet\nMC0400,2024-05-40,Lithobates clamitans,M4,I. Varga,5?\n")
	writeText(t, folder, "frogs.csv", b.String())
	writeText(t, folder, "remedies.csv", "file,sheet,row,column,capture,field,found,action,replacement,rule,who,when,why\n,,,,MC0010,snoutVentLength,65.0,replace,64.0,,I. Varga,2024-06-01,misread\n")
	var proposed, compared []string
	for _, o := range []Options{{}, {wholeRows: 1, partRows: 1 << 20}, {wholeRows: 1, partRows: 2048}, {wholeRows: 1, partRows: 64}} {
		path := filepath.Join(t.TempDir(), "proposed.csv")
		p, err := Propose(context.Background(), folder, ProposeOptions{Out: path, Level: record.Warning}, o)
		if err != nil || p.Wanted < 3 {
			t.Fatal(p, err)
		}
		proposed = append(proposed, string(readFile(t, filepath.Dir(path), "proposed.csv")))
		out := t.TempDir()
		if _, err := Observe(context.Background(), folder, out, o); err != nil {
			t.Fatal(err)
		}
		compared = append(compared, string(readFile(t, out, "observers.json"))+string(readFile(t, out, "agreement.csv"))+string(readFile(t, out, "observers.html")))
	}
	for i := range proposed {
		if d := cmp.Diff(proposed[0], proposed[i]); d != "" {
			t.Errorf("%d: proposals: %s", i, d)
		}
		if compared[i] != compared[0] {
			t.Errorf("%d: observers: %s", i, firstDifference([]byte(compared[0]), []byte(compared[i])))
		}
	}
}
