package pipeline_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"spadefoot/pipeline/record/need"
)

// Nothing that a run says of one thing speaks of many.
func TestOneIsNotMany(t *testing.T) {
	wrong := regexp.MustCompile(`\b(1 (animals|bags|captures|cells|columns|doubts|errors|findings|individuals|measurements|names|notes|observers|occurrences|others|places|readings|repeats|rows|sheets|sites|species|spellings|tables|taxa|values|warnings)\b.{0,40})`)
	err := filepath.WalkDir(filepath.Join(need.Root(t), "testdata", "golden"), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range wrong.FindAllString(string(text), -1) {
			t.Errorf("%s: %s", path, m)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
