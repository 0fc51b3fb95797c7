package pipeline_test

import (
	"context"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/draft"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// penguins puts the mapping of testdata/penguins beside the data in shared.
func penguins(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	from := filepath.Join(need.Root(t), "testdata", "penguins")
	for _, name := range []string{"survey.yaml", "checklist.csv"} {
		copyFile(t, filepath.Join(from, name), filepath.Join(dir, name))
	}
	copyFile(t, need.Shared(t, "opendata/penguins_raw.csv"), filepath.Join(dir, "penguins_raw.csv"))
	return dir
}

func copyFile(t testing.TB, from, to string) {
	t.Helper()
	in, err := os.Open(from)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(out, in); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
}

// Gorman KB, Williams TD, Fraser WR (2014) PLoS ONE 9(3): e90081, data as
// shipped in the R package palmerpenguins; counts and means as stated in
// ../shared/opendata/README.md.
func TestPenguins(t *testing.T) {
	out := t.TempDir()
	r, err := pipeline.Run(context.Background(), penguins(t), out, pipeline.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if r.Counts.Occurrences != 344 {
		t.Errorf("%d occurrences, want 344", r.Counts.Occurrences)
	}
	species := map[string]int{}
	for _, c := range r.Captures {
		species[c.Get("scientificName")]++
	}
	for name, want := range map[string]int{"Pygoscelis adeliae": 152, "Pygoscelis papua": 124, "Pygoscelis antarcticus": 68} {
		if species[name] != want {
			t.Errorf("%s: %d, want %d", name, species[name], want)
		}
	}
	for name, want := range map[string]float64{"culmenLength": 43.92, "culmenDepth": 17.15, "flipperLength": 200.92, "bodyMass": 4201.75} {
		sum, n := 0.0, 0
		for _, c := range r.Captures {
			if rd := c.Reading(name); rd != nil {
				sum, n = sum+rd.Number, n+1
			}
		}
		if n != 342 || math.Abs(sum/float64(n)-want) > 0.005 {
			t.Errorf("%s: n = %d, mean %.4f, want 342 and %.2f", name, n, sum/float64(n), want)
		}
	}
	validArchive(t, filepath.Join(out, "darwin-core"))
}

// What screening says of the penguins: nothing, they are real birds.
func TestPenguinsAreNotFlagged(t *testing.T) {
	r, err := pipeline.Check(context.Background(), penguins(t), pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		if f.Level >= record.Warning {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
}

// A published data set that nobody wrote for this program (Palmer penguins,
// raw; see ../shared/opendata): what the draft says of its columns, and that it
// runs untouched without an error.
func TestDraftOfPublishedData(t *testing.T) {
	path := need.Shared(t, "opendata/penguins_raw.csv")
	folder := filepath.Join(t.TempDir(), "penguins")
	d, err := draft.Write(context.Background(), []string{path}, folder, draft.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{
		"Sample Number": "recordNumber", "Species": "scientificName", "Island": "island", "Individual ID": "role 0", "Date Egg": "eventDate",
		"Culmen Length (mm)": "culmenLength mm", "Culmen Depth (mm)": "culmenDepth mm", "Flipper Length (mm)": "flipperLength mm", "Body Mass (g)": "net g",
		"Sex": "sex", "Delta 15 N (o/oo)": "delta15N [ppth]", "Delta 13 C (o/oo)": "delta13C [ppth]", "Comments": "occurrenceRemarks",
	}
	for _, g := range d.Sheets[0].Draft.Guesses {
		meaning, unit := meaningOf(g.Meaning)
		if w, ok := want[g.Heading]; ok && strings.TrimSpace(meaning+" "+unit) != w {
			t.Errorf("%q: %s %s, want %s", g.Heading, meaning, unit, w)
		}
		delete(want, g.Heading)
	}
	if len(want) > 0 {
		t.Errorf("not seen: %v", want)
	}
	r, err := pipeline.Run(context.Background(), folder, t.TempDir(), pipeline.Options{})
	if err != nil || r.Counts.Occurrences != 344 {
		t.Fatalf("%v %+v", err, r)
	}
	for _, f := range r.Findings {
		if f.Level == record.Error {
			t.Errorf("%s at %s: %s", f.Rule, f.At, f.Reason)
		}
	}
}
