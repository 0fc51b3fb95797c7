package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/infer"
)

// screened reads a survey to where it can be judged.
func screened(tb testing.TB, folder string) *walk {
	tb.Helper()
	w, err := start(folder, Options{})
	if err != nil {
		tb.Fatal(err)
	}
	if err := w.walk(context.Background(), Options{}, judged[:1]); err != nil {
		tb.Fatal(err)
	}
	return w
}

// doubtfulRows is a survey whose rows share causes of all kinds: of cells, of
// labels over several rows, of a table beside the sheets, and of survey.yaml.
func doubtfulRows(t *testing.T, rows int) string {
	dir := t.TempDir()
	var sheet strings.Builder
	for i := range rows {
		if i%10 == 0 {
			fmt.Fprintf(&sheet, "Kingdom: Animals of pond %d\nNo,Date,Site,Species,Origin\n", i/20)
		}
		fmt.Fprintf(&sheet, "%d,2023-05-%02d,%s,Rana temporaria,%s\n", i, 1+i%28, []string{"Pond", "Ditch"}[i%2], []string{"native", "wild", "wild", "hatchery"}[i%4])
	}
	for name, text := range map[string]string{
		"survey.yaml": `dataset:
  id: https://marrow-creek.invalid/doubtful
  title: Doubtful
  description: Invented.
  licence: CC0 1.0
  country: Canada
  countryCode: CA
  creators: [{given: Ines, family: Varga}]
defaults:
  stateProvince: Ontarioo
sheets: [{file: frogs.csv}]
tables: {sites: sites.csv}
mapping:
  key: [recordNumber]
  headings:
    - {heading: "No", term: recordNumber}
    - {heading: Date, term: eventDate}
    - {heading: Site, term: locality}
    - {heading: Kingdom, term: kingdom}
    - {heading: Species, term: scientificName}
    - {heading: Origin, term: establishmentMeans}
`,
		"sites.csv": "site,latitude,longitude,country\nPond,45.41,-76.20,Canadia\nDitch,45.42,-76.21,Canada\n",
		"frogs.csv": sheet.String(),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// A survey in parts is judged as the survey in one part, whatever the cut.
func TestQualityOfParts(t *testing.T) {
	w := screened(t, doubtfulRows(t, 200))
	whole := w.qualityJudge()
	whole.Add(w.captures)
	want := whole.Findings()
	cells := 0
	for _, f := range want {
		cells += len(f.Also)
	}
	if len(want) < 5 || cells < 50 {
		t.Errorf("%d findings with %d more cells: %+v", len(want), cells, want)
	}
	for _, size := range []int{1, 7, 64} {
		j := w.qualityJudge()
		for part := range slices.Chunk(w.captures, size) {
			if early := j.Add(part); early != nil {
				t.Errorf("parts of %d: %v", size, early)
			}
		}
		if diff := cmp.Diff(want, j.Findings()); diff != "" {
			t.Errorf("parts of %d: %s", size, diff)
		}
	}
}

// What the quality tests take of every capture, rows included.
func BenchmarkQuality(b *testing.B) {
	w := screened(b, benchFolder(b))
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		j := w.qualityJudge()
		j.Add(w.captures)
		j.Findings()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(w.captures)), "ns/capture")
}

// What inference takes of every capture, in its passes.
func BenchmarkInference(b *testing.B) {
	w := screened(b, benchFolder(b))
	settings, err := w.inferSettings()
	if err != nil {
		b.Fatal(err)
	}
	animals, flagged := w.captures, w.flagged(nil) // all are animals
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		x := infer.New(infer.Inputs{Rules: infer.Rules(), Specimens: w.tables.specimens}, settings)
		x.Add(animals, func(i int) bool { return flagged[i] })
		if x.Learn() {
			x.Judge(animals)
		}
		x.Settle()
		for n, c := range animals {
			x.Readings(n, c)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(animals)), "ns/capture")
}
