package pipeline_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/prove"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

func notebook(t testing.TB, name string) string {
	t.Helper()
	return filepath.Join(need.Root(t), "testdata", "notebook", name)
}

// readTruth reads a file of the notebook demo as rows by heading.
func readTruth(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(notebook(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, l := range lines[1:] {
		m := map[string]string{}
		for i, h := range lines[0] {
			m[h] = l[i]
		}
		out = append(out, m)
	}
	return out
}

// draftNotebook drafts a survey of the three typed-up notebooks.
func draftNotebook(t *testing.T, out string) *draft.Drafted {
	t.Helper()
	var sheets []string
	for _, name := range []string{"creek-1987.xls", "tern-1992.ods", "carnet-1994.csv"} {
		sheets = append(sheets, notebook(t, "sheets/"+name))
	}
	d, err := draft.Write(context.Background(), sheets, out, draft.Options{Checklist: notebook(t, "checklist.csv"), Title: "Notebooks"})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// meaningOf writes a meaning as truth.csv does.
func meaningOf(m record.Meaning) (meaning, unit string) {
	switch m.Role {
	case record.Term:
		return m.Term, ""
	case record.Measurement:
		if m.Replicate > 0 {
			return fmt.Sprintf("%s #%d", m.Measurement, m.Replicate), m.Unit
		}
		return m.Measurement, m.Unit
	case record.WeighPart:
		return m.Part, m.Unit
	}
	return fmt.Sprintf("role %d", m.Role), ""
}

// What the draft says of the columns of the notebooks is held against what a
// person who knows them would say. A column that it did not find counts as
// wrong, and so does one that is not there.
func TestDraftOfTheNotebooksIsMostlyRight(t *testing.T) {
	d := draftNotebook(t, filepath.Join(t.TempDir(), "survey"))
	type column struct{ file, tab, heading string }
	got := map[column][2]string{}
	for _, s := range d.Sheets {
		for _, g := range s.Draft.Guesses {
			meaning, unit := meaningOf(g.Meaning)
			got[column{s.File, s.Tab, g.Heading}] = [2]string{meaning, unit}
		}
	}
	right, all := 0, 0
	for _, w := range readTruth(t, "truth.csv") {
		c := column{w["file"], w["tab"], w["heading"]}
		all++
		if got[c] == [2]string{w["meaning"], w["unit"]} {
			right++
		} else {
			t.Logf("%v: %q, want %q in %q", c, got[c], w["meaning"], w["unit"])
		}
		delete(got, c)
	}
	for c, g := range got {
		all++
		t.Logf("%v: %q, but there is no such column", c, g)
	}
	t.Logf("%d of %d columns right (%.1f %%)", right, all, 100*float64(right)/float64(all))
	if all < 60 || 100*right < 95*all {
		t.Errorf("%d of %d columns right, want 95 %%", right, all)
	}
}

// The draft runs as it is, to an archive that is valid and holds every row.
func TestDraftOfTheNotebooksRunsUntouched(t *testing.T) {
	folder, out := filepath.Join(t.TempDir(), "survey"), t.TempDir()
	d := draftNotebook(t, folder)
	rows := 0
	for _, s := range d.Sheets {
		rows += s.Rows
	}
	r, err := pipeline.Run(context.Background(), folder, out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if want := len(readTruth(t, "truth_captures.csv")); rows != want || r.Counts.TableRows != want || r.Counts.Captures != want || r.Counts.Occurrences != want {
		t.Errorf("%d captures stand in the books; %d rows were drafted, and the run counts %+v", want, rows, r.Counts)
	}
	archive := filepath.Join(out, darwincore.Folder)
	if fs, err := prove.Archive(context.Background(), archive, prove.Counts{Occurrences: r.Counts.Occurrences, Measurements: r.Counts.Measurements}, prove.Options{}); err != nil {
		t.Errorf("%v %v", err, fs)
	}
	for _, f := range r.Findings {
		if f.Level == record.Error {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	validArchive(t, archive)
}

// The draft as a person corrected it gives every capture of the books as it was.
func TestNotebooksAgreeWithTheTruth(t *testing.T) {
	out := t.TempDir()
	r, err := pipeline.Run(context.Background(), notebook(t, ""), out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Rule == "heading-unmatched" || f.Level == record.Error {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
	byPlace := map[string]*record.Capture{}
	for _, c := range r.Captures {
		byPlace[c.File+"|"+c.Sheet+"|"+c.Get("recordNumber")] = c
	}
	truth := readTruth(t, "truth_captures.csv")
	if len(r.Captures) != len(truth) || len(byPlace) != len(truth) {
		t.Errorf("%d captures under %d numbers, want %d", len(r.Captures), len(byPlace), len(truth))
	}
	for _, w := range truth {
		key := "sheets/" + w["file"] + "|" + w["tab"] + "|" + w["number"]
		if c := byPlace[key]; c == nil {
			t.Errorf("%s is missing", key)
		} else {
			compareWithTruth(t, key, c, w)
		}
	}
	validArchive(t, filepath.Join(out, darwincore.Folder))
}

// Names of places that the table of sites gives an English name.
var siteNames = map[string]string{"Étang du Héron": "Heron Slough", "Mare aux Aulnes": "Alder Pool", "Fossé du Moulin": "Mill Ditch"}

func compareWithTruth(t *testing.T, key string, c *record.Capture, w map[string]string) {
	t.Helper()
	for _, term := range []string{"scientificName", "eventDate", "locality", "sex"} {
		want := w[term]
		if name := siteNames[want]; name != "" {
			want = name
		}
		if got := c.Get(term); got != want {
			t.Errorf("%s: %s is %q, want %q", key, term, got, want)
		}
	}
	for _, term := range []string{"decimalLatitude", "decimalLongitude"} {
		// the datum shifts of two programs differ by metres: 0.0003° is 33 m
		got, _ := strconv.ParseFloat(c.Get(term), 64)
		if want, _ := strconv.ParseFloat(w[term], 64); math.Abs(got-want) > 0.0003 {
			t.Errorf("%s: %s is %v, want %v", key, term, got, want)
		}
	}
	for _, m := range []string{"snoutVentLength", "tibiaLength", "bodyMass"} {
		r := c.Reading(m)
		want, err := strconv.ParseFloat(w[m], 64)
		switch {
		case err != nil && r != nil:
			t.Errorf("%s: %s is %s, but nothing was written", key, m, r.Text)
		case err != nil:
		case r == nil:
			t.Errorf("%s: %s is missing, want %v", key, m, want)
		default:
			// half of the last place; a net has that of its gross and its tare
			half := math.Pow10(-r.Decimals) / 2
			if m == "bodyMass" && r.Derived {
				half *= 2
			}
			if math.Abs(r.Number-want) > half*(1+1e-9) || r.Unit != map[bool]string{true: "g", false: "mm"}[m == "bodyMass"] {
				t.Errorf("%s: %s is %s %s, want %v", key, m, r.Text, r.Unit, want)
			}
		}
	}
}

// Comments of a workbook, notes beside values and doubts are not lost.
func TestNotebooksKeepWhatStandsBeside(t *testing.T) {
	r, err := pipeline.Check(context.Background(), notebook(t, ""), pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	remarks := map[string]string{}
	states := map[record.State]int{}
	for _, c := range r.Captures {
		remarks[c.Get("fieldNotes")+" "+c.Get("recordNumber")] = strings.Join(c.Remarks, " | ")
		for _, x := range c.Readings {
			states[x.State]++
		}
	}
	for key, want := range map[string]string{
		"notebook 5 8": "pulled a leg, not straight", "notebook 5 21": "bag was wet",
		"notebook 3 41": "swollen", "notebook 7 13": "patte enflée",
	} {
		if !strings.Contains(remarks[key], want) {
			t.Errorf("%s: remarks %q, want %q", key, remarks[key], want)
		}
	}
	if states[record.Doubtful] < 4 || states[record.Missing] < 1 {
		t.Errorf("states %v", states)
	}
	labels := map[string]bool{}
	layouts := 0
	for _, tb := range r.Tables {
		if tb.Transposed {
			layouts++
		}
		for _, l := range tb.Labels {
			labels[l.Name+"="+l.Cell.Text] = true
		}
	}
	if !labels["Pond=Heron Slough"] || !labels["Bag wt (oz)=1/8"] || layouts != 1 {
		t.Errorf("labels %v, %d tables with animals as columns", labels, layouts)
	}
}

// The same sheets give the same draft.
func TestDraftSameBytes(t *testing.T) {
	a, b := filepath.Join(t.TempDir(), "survey"), filepath.Join(t.TempDir(), "survey")
	draftNotebook(t, a)
	draftNotebook(t, b)
	first, second := files(t, a), files(t, b)
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s differs", name)
		}
	}
	if len(first) != len(second) || len(first) != 11 {
		t.Errorf("%d and %d files", len(first), len(second))
	}
}
