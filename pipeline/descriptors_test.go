package pipeline

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/prove/archives"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"
)

// With a copy of the published table schemas (Darwin Core Data Package guide of
// 2026-05-26, section 3.3) the data package describes its fields by them, and
// prove holds it against them. Without one a note says so, and prove tells the
// difference.
func TestPublishedDescriptors(t *testing.T) {
	schemas := need.Shared(t, "standards/darwin-core/data-package/table-schemas")
	text := strings.Replace(eventSurvey, "archive: {core: event}", "archive: {package: true, descriptors: "+schemas+"}", 1)
	for name, survey := range map[string]string{"published": text, "own": strings.Replace(text, ", descriptors: "+schemas, "", 1)} {
		dir, out := t.TempDir(), t.TempDir()
		for file, content := range map[string]string{"survey.yaml": survey, "nights.csv": eventSheet} {
			if err := os.WriteFile(filepath.Join(dir, file), []byte(content), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		r, err := Run(context.Background(), dir, out, Options{Version: "test"})
		if err != nil {
			t.Fatal(name, err)
		}
		noted := slices.ContainsFunc(r.Findings, func(f record.Finding) bool { return f.Rule == "descriptors-own" })
		proof, err := archives.Prove(context.Background(), filepath.Join(out, "data-package"), archives.Options{Descriptors: schemas})
		if err != nil {
			t.Fatal(name, err)
		}
		differ := slices.ContainsFunc(proof.Findings, func(f record.Finding) bool { return f.Rule == "descriptor-differs" })
		if want := name == "own"; noted != want || differ != want {
			t.Errorf("%s: noted %v, differ %v; %v", name, noted, differ, proof.Findings)
		}
		agreed := strings.Contains(string(readFile(t, out, "data-package/datapackage.json")), `"rdfs:comment"`)
		if agreed != (name == "published") {
			t.Errorf("%s: published descriptors are there: %v", name, agreed)
		}
		if got := string(readFile(t, out, "data-package/occurrence-assertion.csv")); !strings.Contains(got, ",SVL,snout-vent length,") || !strings.Contains(got, "recordNumber,http://rs.tdwg.org/dwc/terms/recordNumber,http://rs.tdwg.org/dwc/terms/,1,") {
			t.Errorf("assertions:\n%s", got)
		}
	}
}
