package pipeline_test

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// demoCopy is a copy of the demo with further files.
func demoCopy(t *testing.T, more map[string]string) string {
	t.Helper()
	from, dir := filepath.Join(need.Root(t), "testdata", "demo"), t.TempDir()
	entries, err := os.ReadDir(from)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.IsDir() || e.Name() == "planted.csv" {
			continue
		}
		b, err := os.ReadFile(filepath.Join(from, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		write(t, filepath.Join(dir, e.Name()), string(b))
	}
	for name, text := range more {
		write(t, filepath.Join(dir, name), text)
	}
	return dir
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// rows reads a CSV file by its headings.
func rows(t *testing.T, path string) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(read(t, path))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func row(t *testing.T, all []map[string]string, heading, text string) map[string]string {
	t.Helper()
	i := slices.IndexFunc(all, func(m map[string]string) bool { return m[heading] == text })
	if i < 0 {
		t.Fatalf("no row has %s %q", heading, text)
	}
	return all[i]
}

func findingAt(fs []record.Finding, rule, file, sheet string, row int) bool {
	return slices.ContainsFunc(fs, func(f record.Finding) bool {
		return f.Rule == rule && f.At.File == file && f.At.Sheet == sheet && (row == 0 || f.At.Row == row)
	})
}

const decided = `file,sheet,row,column,capture,field,found,action,replacement,rule,who,when,why
,,,,MC24-002,tibiaLength,"73,9",replace,"37,9",,I. Varga,2024-09-02,digits exchanged
june-2024-reyes.csv,,6,D,,,LIPP,replace,LIPI,,I. Varga,2024-09-02,the field book says LIPI
marrow-2023.xlsx,Spring,39,F,MC23-038,sex,V,confirm,,word-unknown,I. Varga,2024-09-03,"a slip, left as it is"
marrow-2023.xlsx,Spring,14,A,,,MC23-001,replace,MC23-013,,I. Varga,2024-09-03,number of the row above it in the book
marrow-2023.xlsx,Summer,8,L,,,see book,clear,,,T. Okafor,2024-09-04,the book is lost
,,,,MC99-999,sex,q,replace,M,,I. Varga,2024-09-02,no such animal
june-2024-reyes.csv,,8,E,,,x,confirm,,word-unknown,I. Varga,2024-09-02,the cell holds q by now
june-2024-reyes.csv,,13,L,,,925,,92.5 g,value-off-line,,,
`

// What is told of the sexes has the level that the survey gives it, however it is
// walked.
func TestLevelsHoldForSexes(t *testing.T) {
	for _, o := range []pipeline.Options{{}, pipeline.InParts(1, 30)} {
		for _, c := range []struct {
			rules string
			want  int
		}{{"", 1}, {"\nrules: {levels: {sex-indicated: off}}\n", 0}} {
			dir := demoCopy(t, nil)
			path := filepath.Join(dir, "survey.yaml")
			write(t, path, read(t, path)+c.rules)
			n := 0
			o.OnResult = func(r *pipeline.Result) error { n = r.Tally.ByRule["sex-indicated"]; return nil }
			if _, err := pipeline.Check(context.Background(), dir, o); err != nil {
				t.Fatal(err)
			}
			if n != c.want {
				t.Errorf("%q: %d findings, want %d", c.rules, n, c.want)
			}
		}
	}
}

func TestRemedies(t *testing.T) {
	before := demo(t)
	dir, out := demoCopy(t, map[string]string{"remedies.csv": decided}), t.TempDir()
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	const june, book = "june-2024-reyes.csv", "marrow-2023.xlsx"
	for _, f := range []struct {
		rule, file, sheet string
		row               int
		was, is           bool
	}{
		{"value-off-line", june, "", 3, true, false},
		{"taxon-unread", june, "", 6, true, false},
		{"word-unknown", book, "Spring", 39, true, false},
		{"word-unknown", june, "", 8, true, true},
		{"key-repeated", book, "Spring", 14, true, false},
		{"number-unread", book, "Summer", 8, true, false},
		{"remedy-unmatched", "remedies.csv", "", 7, false, true},
		{"confirmation-lapsed", "remedies.csv", "", 8, false, true},
		{"remedy-undecided", "remedies.csv", "", 9, false, true},
	} {
		if got := findingAt(before.Findings, f.rule, f.file, f.sheet, f.row); got != f.was {
			t.Errorf("without remedies, %s at %s row %d: %v", f.rule, f.file, f.row, got)
		}
		if got := findingAt(r.Findings, f.rule, f.file, f.sheet, f.row); got != f.is {
			t.Errorf("with remedies, %s at %s row %d: %v", f.rule, f.file, f.row, got)
		}
	}

	captures := rows(t, filepath.Join(out, "captures.csv"))
	occurrences := rows(t, filepath.Join(out, "darwin-core", "occurrence.csv"))
	facts := rows(t, filepath.Join(out, "darwin-core", "measurementorfact.csv"))
	c := row(t, captures, "capture", "MC24-002")
	if c["tibiaLength (mm)"] != "37.9" || c["tibiaLength as written"] != "73,9" {
		t.Errorf("tibia %s, written %s", c["tibiaLength (mm)"], c["tibiaLength as written"])
	}
	i := slices.IndexFunc(facts, func(m map[string]string) bool {
		return m["occurrenceID"] == c["occurrenceID"] && m["measurementType"] == "tibia length"
	})
	if want := `replaced with "37,9" by I. Varga on 2024-09-02: digits exchanged; as written: "73,9" (june-2024-reyes.csv, H3)`; i < 0 || facts[i]["measurementRemarks"] != want || facts[i]["measurementValue"] != "37.9" {
		t.Errorf("measurement %v, want remark %s", facts[max(i, 0)], want)
	}
	for _, o := range []struct{ key, term, text, remark string }{
		{"MC24-005", "scientificName", "Lithobates pipiens", `scientificName: "LIPP" written (june-2024-reyes.csv, D6), replaced with "LIPI" by I. Varga on 2024-09-02: the field book says LIPI`},
		{"MC24-005", "verbatimIdentification", "LIPP", ""},
		{"MC23-013", "occurrenceID", darwincore.OccurrenceID("https://marrow-creek.invalid/datasets/anurans", "MC23-013"), `"MC23-001" written`},
		{"MC23-038", "recordNumber", "MC23-038", `sex: "V" written (marrow-2023.xlsx, tab Spring, F39), confirmed against word-unknown by I. Varga on 2024-09-03: a slip, left as it is`},
		{"MC23-107", "recordNumber", "MC23-107", `gross: "see book" written (marrow-2023.xlsx, tab Summer, L8), cleared by T. Okafor on 2024-09-04: the book is lost`},
	} {
		got := row(t, occurrences, "recordNumber", o.key)
		if got[o.term] != o.text || !strings.Contains(got["occurrenceRemarks"], o.remark) {
			t.Errorf("%s: %s is %q, remarks %q; want %q and %q", o.key, o.term, got[o.term], got["occurrenceRemarks"], o.text, o.remark)
		}
	}

	var run struct {
		Remedies []struct{ Line int }
		Inputs   []struct{ File string }
	}
	if err := json.Unmarshal([]byte(read(t, filepath.Join(out, "run.json"))), &run); err != nil {
		t.Fatal(err)
	}
	if len(run.Remedies) != 5 || !slices.ContainsFunc(run.Inputs, func(i struct{ File string }) bool { return i.File == "remedies.csv" }) {
		t.Errorf("run.json has the remedies %v and the inputs %v", run.Remedies, run.Inputs)
	}
	page := read(t, filepath.Join(out, "report.html"))
	for _, want := range []string{"What people decided", "digits exchanged", "the book is lost"} {
		if !strings.Contains(page, want) {
			t.Errorf("report.html lacks %q", want)
		}
	}
}

// A remedy that does not fit ends the run, and what was there stays.
func TestRemedyThatDoesNotFit(t *testing.T) {
	for _, tt := range []struct {
		what, line, says string
		input            bool
	}{
		{"another text", `june-2024-reyes.csv,,3,H,,,"73,8",replace,"37,9",,A,2024-09-02,x`, `remedies.csv, line 3: june-2024-reyes.csv, H3 holds "73,9", but the remedy was made for "73,8"`, false},
		{"not a day", `june-2024-reyes.csv,,3,H,,,"73,9",replace,"37,9",,A,Monday,x`, "remedies.csv, line 3, column when", true},
	} {
		dir, out := demoCopy(t, map[string]string{"remedies.csv": strings.Join(strings.SplitAfter(decided, "\n")[:2], "") + tt.line + "\n"}), t.TempDir()
		write(t, filepath.Join(out, "captures.csv"), "earlier")
		_, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
		var call *pipeline.CallError
		var input *pipeline.InputError
		if err == nil || errors.As(err, &call) == tt.input || errors.As(err, &input) != tt.input || !strings.Contains(err.Error(), tt.says) {
			t.Errorf("%s: %v", tt.what, err)
		}
		if got := read(t, filepath.Join(out, "captures.csv")); got != "earlier" {
			t.Errorf("%s: the earlier output became %q", tt.what, got)
		}
	}
}

// The file of proposals does nothing as it stands, is never written over, and
// keeps what was decided when it is written anew.
func TestPropose(t *testing.T) {
	ctx, dir := context.Background(), demoCopy(t, nil)
	path := filepath.Join(dir, "remedies.csv")
	before := demo(t)
	p, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: record.Warning}, pipeline.Options{})
	if err != nil || p.Path != path || p.Wanted < 25 || p.Kept != 0 {
		t.Fatalf("%+v, %v", p, err)
	}
	first := read(t, path)
	r, err := pipeline.Check(ctx, dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Findings) != len(before.Findings)+1 || !findingAt(r.Findings, "remedy-undecided", "remedies.csv", "", 2) {
		t.Errorf("%d findings with proposals, %d without", len(r.Findings), len(before.Findings))
	}
	for _, c := range r.Captures {
		if slices.ContainsFunc(c.Remarks, func(s string) bool { return strings.Contains(s, "written (") }) {
			t.Errorf("something was applied: %q", c.Remarks)
		}
	}

	var call *pipeline.CallError
	if _, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: record.Warning}, pipeline.Options{}); !errors.As(err, &call) || read(t, path) != first {
		t.Errorf("a second time: %v", err)
	}
	again, err := pipeline.Propose(ctx, dir, pipeline.ProposeOptions{Level: record.Warning, Replace: true}, pipeline.Options{})
	if err != nil || again.Kept != p.Wanted || again.Wanted != 0 || read(t, path) != first {
		t.Errorf("written anew: %+v, %v", again, err)
	}

	// A person decides: the suggestion is taken where there is one, the rest confirmed.
	lines, _ := csv.NewReader(strings.NewReader(first)).ReadAll()
	at := map[string]int{}
	for i, h := range lines[0] {
		at[h] = i
	}
	taken, confirmed := map[string]bool{}, 0
	for _, l := range lines[1:] {
		cell := l[at["file"]] + l[at["sheet"]] + l[at["row"]] + l[at["column"]]
		l[at["action"]], l[at["who"]], l[at["when"]], l[at["why"]] = "confirm", "I. Varga", "2024-09-02", "looked at"
		if l[at["replacement"]] != "" && !taken[cell] {
			l[at["action"]], taken[cell] = "replace", true
		} else {
			confirmed++
		}
	}
	var b strings.Builder
	if err := csv.NewWriter(&b).WriteAll(lines); err != nil {
		t.Fatal(err)
	}
	write(t, path, b.String())
	r, err = pipeline.Check(ctx, dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	left := 0
	for _, f := range r.Findings {
		if f.Level >= record.Warning && f.Rule != "remedy-unmatched" && f.At.Row > 0 {
			left++
			t.Logf("left: %s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	if len(taken) < 10 || confirmed < 10 || left > 5 {
		t.Errorf("%d replaced, %d confirmed, %s findings left", len(taken), confirmed, strconv.Itoa(left))
	}
}
