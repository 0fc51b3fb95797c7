package pipeline_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"spadefoot/pipeline/record/need"
)

var update = flag.Bool("update", false, "write the golden files of testdata/golden anew")

// The demo's outputs are held against golden files, byte for byte, so that a
// change of any of them is seen and meant.
func TestDemoGolden(t *testing.T) {
	out := t.TempDir()
	runDemo(t, out)
	golden := filepath.Join(need.Root(t), "testdata", "golden", "demo")
	for _, name := range []string{
		"findings.csv", "captures.csv", "run.json", "darwin-core/occurrence.csv", "darwin-core/measurementorfact.csv",
		"darwin-core/meta.xml", "darwin-core/eml.xml",
		"results/sizes-snoutVentLength.csv", "results/classes-bodyMass.csv", "results/changes-scaledMassIndex.csv", "results/sexes.csv", "results/catch.csv", "results/left-out.csv",
	} {
		got, err := os.ReadFile(filepath.Join(out, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(golden, filepath.FromSlash(name))
		if *update {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from its golden file at byte %d; if it should, run go test ./pipeline -run Golden -update and read the difference", name, firstDifference(got, want))
		}
	}
}

func firstDifference(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}
