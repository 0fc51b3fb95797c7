package pipeline_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"spadefoot/pipeline"
	"spadefoot/pipeline/forms/formset"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

func demoForms(t *testing.T, o formset.Options) (string, *formset.Formed) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "forms")
	f, err := pipeline.Forms(context.Background(), filepath.Join(need.Root(t), "testdata", "demo"), out, o)
	if err != nil {
		t.Fatal(err)
	}
	return out, f
}

// typeInto types rows of cells below the headings of a tab, as text, which is
// what the cells of a form make of everything.
func typeInto(t *testing.T, book, tab string, rows [][]string) {
	t.Helper()
	f, err := excelize.OpenFile(book)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for i, row := range rows {
		for j, text := range row {
			cell, _ := excelize.CoordinatesToCellName(j+1, i+2)
			if text == "" {
				continue
			}
			if err := f.SetCellStr(tab, cell, text); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := f.Save(); err != nil {
		t.Fatal(err)
	}
}

// capture is what a run made of one row: text by term, measurement and part.
func capture(t *testing.T, r *pipeline.Result, key string) *record.Capture {
	t.Helper()
	i := slices.IndexFunc(r.Captures, func(c *record.Capture) bool { return c.Key == key })
	if i < 0 {
		t.Fatalf("no capture %s", key)
	}
	return r.Captures[i]
}

// What is typed into the forms of the demo, whatever its mapping, runs through
// with no work on mappings: every capture, every heading, every weighing.
func TestWhatIsTypedIntoFormsRuns(t *testing.T) {
	dir, _ := demoForms(t, formset.Options{})
	typeInto(t, filepath.Join(dir, "spring.xlsx"), "Session 1", [][]string{
		{"MC25-001", "2024-05-02", "21:40", "Tern Slough", "Lithobates sylvaticus", "female", "adult", "57.0", "28.10", "17.2", "6.3", "3.6", "24.5", "5.0", "Ines Varga", "calling", "iv"},
		{"MC25-002", "2024-05-02", "21:55", "Tern Slough", "LIPI", "male", "adult", "68,4", "35.9", "22.2", "8.4", "5.6", "41.0", "5.5", "Ines Varga", "", ""},
		{"MC25-003", "2024-05-02", "22:10", "Tern Slough", "ANAM", "", "juvenile", "<20", "na", "", "", "", "", "", "Ines Varga", "", ""},
	})
	typeInto(t, filepath.Join(dir, "spring.xlsx"), "Session 3", [][]string{
		{"MC25-010", "2024-05-09", "20:10", "Alder Seep", "Lithobates clamitans", "male", "adult", "71.2", "36.0", "23.0", "8.8", "6.1", "48.0", "5.0", "Tomasz Okafor", "", ""},
	})
	typeInto(t, filepath.Join(dir, "summer.xlsx"), "Session 1", [][]string{
		{"MC25-101", "2024-07-02", "Alder Seep", "Lithobates pipiens", "female", "adult", "7.05", "36.3", "23.0", "8.5", "5.6", "39.5", "6.0", "Tomasz Okafor", ""},
		{"MC25-102", "2024-07-02", "Alder Seep", "Lithobates pipiens", "male", "adult", "6.72", "34.8", "21.9", "8.2", "5.4", "33.0", "", "Tomasz Okafor", ""},
	})
	typeInto(t, filepath.Join(dir, "june.xlsx"), "Session 1", [][]string{
		{"MC25-201", "2024-06-06", "Old Ferry Ditch", "Lithobates pipiens", "male", "adult", "68.1", "35.2", "22.2", "8.4", "5.6", "36.0", "B2", "M. Reyes", ""},
	})
	out := t.TempDir()
	r, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if r.Counts.Captures != 7 || r.Counts.Occurrences != 7 {
		t.Errorf("%+v, want 7 captures", r.Counts)
	}
	for _, f := range r.Findings {
		if f.Rule == "heading-unmatched" || f.Rule == "fill-meaning" || f.Level > record.Warning || strings.HasPrefix(f.Rule, "site-") || strings.HasPrefix(f.Rule, "word-") {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	for key, want := range map[string]struct{ net, svl, day, verbatim string }{
		"MC25-001": {"19.5", "57.0", "2024-05-02", "57.0"},
		"MC25-002": {"35.5", "68.4", "2024-05-02", "68,4"},
		"MC25-010": {"43.0", "71.2", "2024-05-09", "71.2"},
		"MC25-101": {"33.5", "70.5", "2024-07-02", "7.05"}, // its own bag
		"MC25-102": {"28.0", "67.2", "2024-07-02", "6.72"}, // the bag of the mapping
		"MC25-201": {"31.0", "68.1", "2024-06-06", "68.1"}, // B2 weighs 5.0 g
	} {
		c := capture(t, r, key)
		net, svl := c.Reading("bodyMass"), c.Reading("snoutVentLength")
		if net == nil || svl == nil || net.Text != want.net || svl.Text != want.svl || svl.Verbatim != want.verbatim || c.Get("eventDate") != want.day {
			t.Errorf("%s: net %+v, svl %+v, day %s; want %+v", key, net, svl, c.Get("eventDate"), want)
		}
		if c.Weighing == nil || c.Weighing.Scale != "scale 100" || svl.Instrument != "caliper" {
			t.Errorf("%s: weighing %+v", key, c.Weighing)
		}
	}
	juvenile := capture(t, r, "MC25-003")
	if got := juvenile.Get("scientificName"); got != "Anaxyrus americanus" || juvenile.Weighing != nil {
		t.Errorf("MC25-003: %s, %+v", got, juvenile.Weighing)
	}
	if len(juvenile.Extras) > 0 {
		t.Errorf("cells without a meaning: %+v", juvenile.Extras)
	}
}

// Replicates come out as readings 1, 2, 3 of one measurement, and a tab that
// somebody copied is read.
func TestReplicatesAndFurtherSessions(t *testing.T) {
	dir, made := demoForms(t, formset.Options{Mapping: "spring.yaml", Replicates: 3, Sessions: 1})
	if len(made.Forms) != 1 || made.Forms[0].Columns != 27 {
		t.Fatalf("%+v", made.Forms)
	}
	book := filepath.Join(dir, "spring.xlsx")
	f, err := excelize.OpenFile(book)
	if err != nil {
		t.Fatal(err)
	}
	further, err := f.NewSheet("Session 2 by day")
	if err != nil || f.CopySheet(0, further) != nil || f.Save() != nil || f.Close() != nil {
		t.Fatal(err)
	}
	typeInto(t, book, "Session 2 by day", [][]string{
		{"MC25-001", "2024-05-02", "21:40", "Tern Slough", "Lithobates sylvaticus", "female", "adult", "57.0", "57.2", "56.9", "28.1"},
	})
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, rd := range capture(t, r, "MC25-001").Readings {
		got = append(got, rd.Measurement+" "+rd.Text+" "+string(rune('0'+rd.Replicate)))
	}
	want := []string{"snoutVentLength 57.0 1", "snoutVentLength 57.2 2", "snoutVentLength 56.9 3", "tibiaLength 28.1 1"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A form that nobody typed into raises no doubt.
func TestBlankFormsAreQuiet(t *testing.T) {
	dir, _ := demoForms(t, formset.Options{})
	r, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Rule != "table-without-rows" || f.Level != record.Note {
			t.Errorf("%s %s at %s: %s", f.Level, f.Rule, f.At, f.Reason)
		}
	}
}

// The starter mapping, and mappings with patterns, make forms that read back.
func TestFormsOfOtherMappings(t *testing.T) {
	for name, m := range map[string]string{
		"starter": "mapping: starter/anuran\n",
		"patterns": `mapping:
  key: [catalogNumber]
  session: [eventDate, locality]
  words: {sex: {W: female, M: male}}
  headings:
    - {pattern: 'SVL ?(?P<replicate>\d)', measurement: snoutVentLength, unit: mm}
    - {pattern: 'Tib ?(?P<observer>[A-Z]+)', measurement: tibiaLength, unit: mm, words: {IV: Ines Varga, TO: Tomasz Okafor}}
    - {heading: Sex, term: sex}
    - {heading: Weight, weighing: net}
    - {pattern: 'col.*', aside: nothing is known of it}
`,
		"one row per measurement": `mapping:
  headings:
    - {heading: "No.", term: recordNumber}
    - {heading: Species, term: scientificName}
    - {heading: What, long: name}
    - {heading: How much, long: value}
    - {heading: In, long: unit}
`,
	} {
		dir := t.TempDir()
		text, _, _ := strings.Cut(smallSurvey, "mapping:")
		put(t, dir, "survey.yaml", text+m) // the sheet need not be there yet
		out := filepath.Join(t.TempDir(), "forms")
		made, err := pipeline.Forms(context.Background(), dir, out, formset.Options{Sessions: 1})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		r, err := pipeline.Check(context.Background(), out, pipeline.Options{})
		if err != nil || len(r.Tables) != 1 || len(r.Tables[0].Columns) != made.Forms[0].Columns {
			t.Errorf("%s: %+v, %v", name, r, err)
			continue
		}
		for _, c := range r.Tables[0].Columns {
			if c.Meaning.Role == record.Unmatched {
				t.Errorf("%s: nothing matched %q", name, c.Heading)
			}
		}
	}
}

func TestFormsOverrideTheWindow(t *testing.T) {
	t.Setenv("SPADEFOOT_SURVEY_TO", "2026-10-31")
	dir, _ := demoForms(t, formset.Options{Mapping: "spring.yaml", Observers: []string{"N. Abara", "Varga, I."}})
	b, err := os.ReadFile(filepath.Join(dir, "survey.yaml"))
	if err != nil || !bytes.Contains(b, []byte(`to: "2026-10-31"`)) || bytes.Contains(b, []byte("published")) {
		t.Errorf("%v:\n%s", err, b)
	}
	f, err := excelize.OpenFile(filepath.Join(dir, "spring.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("Lists")
	if err != nil || !slices.Contains(rows[1], "N. Abara") || !slices.Contains(rows[2], "Varga, I.") {
		t.Errorf("%q, %v", rows, err)
	}
}

func TestFormsSameInputSameBytes(t *testing.T) {
	a, _ := demoForms(t, formset.Options{})
	b, _ := demoForms(t, formset.Options{})
	first, second := files(t, a), files(t, b)
	if len(first) != 17 || len(second) != len(first) {
		t.Errorf("%d files and %d files, want 17", len(first), len(second))
	}
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s differs", name)
		}
	}
}

// Forms never write over anything, and write all or nothing.
func TestFormsRefuse(t *testing.T) {
	root := filepath.Join(need.Root(t), "testdata", "demo")
	parent := t.TempDir()
	full := filepath.Join(parent, "full")
	if err := os.Mkdir(full, 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, full, "spring.xlsx", "captures of a whole season")
	var output *pipeline.OutputError
	var call *pipeline.CallError
	if _, err := pipeline.Forms(context.Background(), root, full, formset.Options{}); !errors.As(err, &output) || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder that is not empty: %v", err)
	}
	for _, c := range []struct {
		o    formset.Options
		says string
	}{
		{formset.Options{Mapping: "autumn.yaml"}, "there are: spring.yaml, summer.yaml, june.yaml"},
		{formset.Options{Sessions: 1000}, "1000 sessions"},
		{formset.Options{Replicates: 1000}, "1000 replicates"},
	} {
		if _, err := pipeline.Forms(context.Background(), root, filepath.Join(parent, "new"), c.o); !errors.As(err, &call) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v", c.o, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := pipeline.Forms(ctx, root, filepath.Join(parent, "new"), formset.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	if entries, _ := os.ReadDir(parent); len(entries) != 1 {
		t.Errorf("something was left behind: %v", entries)
	}
}
