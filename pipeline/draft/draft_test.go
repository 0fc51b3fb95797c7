package draft_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/mapping/known"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/survey"
	"spadefoot/pipeline/vocabulary"
)

// What tests of files do all the time.
var files, put = need.Files, need.Put

// runDraft drafts sheets into a new folder, holds it against the schemas and
// runs it untouched. It returns the folder and what the run found.
func runDraft(t *testing.T, o draft.Options, sheets ...string) (string, *pipeline.Result) {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "survey")
	if _, err := draft.Write(context.Background(), sheets, folder, o); err != nil {
		t.Fatal(err)
	}
	if _, err := survey.Load(os.DirFS(folder), nil, known.Words()); err != nil {
		t.Fatalf("%v\n%s", err, files(t, folder)["survey.yaml"])
	}
	r, err := pipeline.Run(context.Background(), folder, t.TempDir(), pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Counts.Occurrences != r.Counts.Captures || r.Counts.Captures == 0 {
		t.Errorf("counts %+v", r.Counts)
	}
	return folder, r
}

// A draft of every sheet that is checked in is right by the schemas and runs.
func TestDraftOfEverySheetRuns(t *testing.T) {
	root := need.Root(t)
	for _, name := range []string{
		"demo/marrow-2023.xlsx", "demo/june-2024-reyes.csv", "sheets/frogs.xlsx", "sheets/frogs.ods", "sheets/frogs-95.xls", "sheets/frogs-97.xls",
		"notebook/sheets/creek-1987.xls", "notebook/sheets/tern-1992.ods", "notebook/sheets/carnet-1994.csv", "notebook/formats/frogs.ods",
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(root, "testdata", filepath.FromSlash(name))
			before, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			folder, _ := runDraft(t, draft.Options{}, path)
			for _, p := range []string{path, filepath.Join(folder, filepath.Base(path))} {
				if after, err := os.ReadFile(p); err != nil || !bytes.Equal(before, after) {
					t.Errorf("%s is not as it was: %v", p, err)
				}
			}
		})
	}
}

func TestDraftRefuses(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "frogs.csv", "Field No,Species,SVL\n1,Rana temporaria,61\n2,Rana temporaria,58\n")
	put(t, dir, "words.csv", "nothing to see here\n")
	put(t, dir, "names.csv", "scientificName,code\nRana temporaria,RT\nRana arvalis,RT\n")
	if err := os.Mkdir(filepath.Join(dir, "again"), 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "again"), "frogs.csv", "Field No,SVL\n1,61\n")
	frogs := filepath.Join(dir, "frogs.csv")
	var call *pipeline.CallError
	var input *pipeline.InputError
	var output *pipeline.OutputError
	for _, c := range []struct {
		name   string
		sheets []string
		out    string // "" for a new folder
		o      draft.Options
		as     any
		says   string
	}{
		{"a folder with something in it", []string{frogs}, dir, draft.Options{}, &output, "never overwrites"},
		{"a file in place of the folder", []string{frogs}, frogs, draft.Options{}, &output, "frogs.csv"},
		{"two sheets of one name", []string{frogs, filepath.Join(dir, "again", "frogs.csv")}, "", draft.Options{}, &call, "two sheets are named frogs.csv"},
		{"a sheet that is not there", []string{filepath.Join(dir, "toads.csv")}, "", draft.Options{}, &input, "toads.csv"},
		{"a sheet without a table", []string{filepath.Join(dir, "words.csv")}, "", draft.Options{}, &input, "no table"},
		{"a checklist that is not there", []string{frogs}, "", draft.Options{Checklist: filepath.Join(dir, "none.csv")}, &input, "none.csv"},
		{"a checklist with a mistake", []string{frogs}, "", draft.Options{Checklist: filepath.Join(dir, "names.csv")}, &input, "RT"},
	} {
		out := c.out
		if out == "" {
			out = filepath.Join(t.TempDir(), "new")
		}
		before := files(t, dir)
		_, err := draft.Write(context.Background(), c.sheets, out, c.o)
		if err == nil || !errors.As(err, c.as) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %T %v", c.name, err, err)
		}
		if _, err := os.Stat(out); c.out == "" && !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s: something was written", c.name)
		}
		if after := files(t, dir); len(after) != len(before) {
			t.Errorf("%s: %d files before, %d after", c.name, len(before), len(after))
		}
	}
}

// An empty folder is taken, and an interrupted draft leaves nothing.
func TestDraftIsAllOrNothing(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	put(t, dir, "frogs.csv", "Field No,Species,SVL\n1,Rana temporaria,61\n2,Rana temporaria,58\n")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := draft.Write(ctx, []string{filepath.Join(dir, "frogs.csv")}, out, draft.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if got := files(t, out); len(got) != 0 {
		t.Errorf("%d files", len(got))
	}
	if _, err := draft.Write(context.Background(), []string{filepath.Join(dir, "frogs.csv")}, out, draft.Options{}); err != nil {
		t.Fatal(err)
	}
	if got := files(t, out); len(got) != 4 || got["checklist.csv"] == nil || got["frogs.csv"] == nil || got["frogs.yaml"] == nil || got["survey.yaml"] == nil {
		t.Errorf("%d files", len(got))
	}
	rest, err := filepath.Glob(filepath.Join(filepath.Dir(out), ".spadefoot-*"))
	if err != nil || len(rest) > 0 {
		t.Errorf("left behind: %v", rest)
	}
}

// A sheet of which nothing is understood still gives a draft that runs; all its
// cells travel in dynamicProperties.
func TestDraftOfNothingUnderstoodRuns(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "zorb.csv", "Zorb,Quux,Frob\nblue,x7!,1q\nred,y8!,1q\nblue,z9!,3q\ngreen,x7!,2q\n")
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "zorb.csv"))
	text := string(files(t, folder)["zorb.yaml"])
	for _, want := range []string{"# Zorb was not understood", "# Quux was not understood", "# Frob was not understood"} {
		if !strings.Contains(text, want) {
			t.Errorf("the draft does not say %q:\n%s", want, text)
		}
	}
	if len(r.Captures) != 4 || len(r.Captures[0].Extras) != 3 {
		t.Errorf("%d captures, %+v", len(r.Captures), r.Captures[0].Extras)
	}
}

// Numbers that start anew in another sheet do not make one capture of two; a
// language that is not English is named, since the letter O depends on it.
func TestDraftTellsNotebooksApart(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "one.csv", "No,Species,SVL\n1,Rana temporaria,61\n2,Rana temporaria,58\n3,Rana arvalis,55\n")
	put(t, dir, "deux.csv", "N°;Espèce;LMC (mm);Sexe;Lieu\n1;Rana temporaria;61,5;mâle;Étang\n2;Rana arvalis;58,0;femelle;Mare\n")
	put(t, dir, "three.csv", "No,Species,SVL\n71,Rana temporaria,61\n72,Rana temporaria,58\n")
	folder, r := runDraft(t, draft.Options{}, filepath.Join(dir, "one.csv"), filepath.Join(dir, "deux.csv"), filepath.Join(dir, "three.csv"))
	keys := map[string]bool{}
	for _, c := range r.Captures {
		keys[c.Key] = true
	}
	if len(keys) != 7 || !keys["one.csv / 1"] || !keys["deux.csv / 1"] || !keys["three.csv / 71"] {
		t.Errorf("keys %v", keys)
	}
	for _, f := range r.Findings {
		if f.Rule == "key-repeated" || f.Rule == "key-missing" || f.Level == record.Error {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	if text := string(files(t, folder)["survey.yaml"]); !strings.Contains(text, "language: fr") || strings.Contains(text, "language: en") {
		t.Errorf("languages:\n%s", text)
	}
}

// A draft may propose any measurement in its usual unit.
func TestEveryMeasurementHasAKnownUnit(t *testing.T) {
	all := vocabulary.Measurements()
	if len(all) < 100 {
		t.Fatalf("%d measurements", len(all))
	}
	known := known.Words()
	for _, m := range all {
		if ok, _ := known.Unit(m.Unit); !ok {
			t.Errorf("%s: unit %q is not known", m.Name, m.Unit)
		}
	}
}

// Of a folder the sheets are drafted; what programs keep beside them is named
// and left alone, also where it was given by name, as a shell does for *.csv.
func TestDraftOfAFolder(t *testing.T) {
	in := t.TempDir()
	for name, text := range map[string]string{
		"june 2024.csv": "No,Date,Species,SVL (mm)\nMC1,2024-06-01,Lithobates clamitans,60.1\nMC2,2024-06-01,Lithobates clamitans,61.2\nMC3,2024-06-02,Lithobates clamitans,58.8\n",
		"~$june.xlsx":   "Reyes", ".~lock.june 2024.csv#": ",reyes,", "._june 2024.csv": "\x00\x05\x16\x07", ".DS_Store": "\x00", "Thumbs.db": "\x00", "pond.jpg": "\xff\xd8",
	} {
		if err := os.WriteFile(filepath.Join(in, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name  string
		given []string
		left  int
	}{
		{"folder", []string{in}, 5},
		{"names", []string{filepath.Join(in, "june 2024.csv"), filepath.Join(in, "~$june.xlsx")}, 1},
	} {
		out := filepath.Join(t.TempDir(), "survey")
		d, err := draft.Write(context.Background(), c.given, out, draft.Options{})
		if err != nil {
			t.Fatal(c.name, err)
		}
		if len(d.Sheets) != 1 || d.Sheets[0].File != "june 2024.csv" || len(d.LeftAlone) != c.left {
			t.Errorf("%s: sheets %+v, left alone %q", c.name, d.Sheets, d.LeftAlone)
		}
		text := string(files(t, out)["survey.yaml"])
		if n := strings.Count(text, "skipped, because"); n != c.left {
			t.Errorf("%s: survey.yaml names %d files as left alone, want %d:\n%s", c.name, n, c.left, text)
		}
	}
}

// A run says which files matched by a pattern it left alone.
func TestRunNamesWhatItLeftAlone(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS(filepath.Join(need.Root(t), "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(folder, "survey.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("marrow-2023.xlsx"), []byte("'*.xlsx'"), 1)
	for name, text := range map[string][]byte{"survey.yaml": text, "~$marrow-2023.xlsx": []byte("Reyes")} {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	r, err := pipeline.Check(context.Background(), folder, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if n := r.Tally.ByRule["left-alone"]; n != 1 {
		t.Errorf("%d files are said to be left alone, want 1", n)
	}
}
