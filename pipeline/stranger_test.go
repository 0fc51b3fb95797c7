package pipeline_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/config"
)

// What somebody put into a folder of ours is named, and nothing is lost.
func TestARunDeletesNothingThatItDidNotWrite(t *testing.T) {
	for _, folder := range []string{"darwin-core", "data-package"} {
		dir, out := heronSurvey(t, nil), t.TempDir()
		for range 2 { // over its own outputs a run goes
			if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{}); err != nil {
				t.Fatal(err)
			}
		}
		mine := filepath.Join(out, folder, "mine.csv")
		write(t, mine, "mine")
		write(t, filepath.Join(out, "letter.txt"), "mine too")
		_, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{})
		var output *pipeline.OutputError
		if !errors.As(err, &output) || !strings.Contains(err.Error(), "mine.csv") {
			t.Errorf("%s: %v", folder, err)
		}
		if read(t, mine) != "mine" || len(rowsOf(t, out)) == 0 {
			t.Errorf("%s: the folder is not as it was", folder)
		}
		if err := os.Remove(mine); err != nil {
			t.Fatal(err)
		}
		if _, err := pipeline.Run(context.Background(), dir, out, pipeline.Options{}); err != nil || read(t, filepath.Join(out, "letter.txt")) != "mine too" {
			t.Errorf("%s: %v", folder, err)
		}
	}
}

// A path out of the folder and a number that is none are mistakes in survey.yaml,
// with their line.
func TestMistakesNameTheirLine(t *testing.T) {
	for _, c := range []struct{ old, new, says string }{
		{"sites: sites.csv", "sites: ../sites.csv", "key tables.sites"},
		{"checklist: checklist.csv", "checklist: /etc/hosts", "key tables.checklist"},
		{"graduation: 0.1", "graduation: .nan", "key instruments.0.graduation"},
		{"graduation: 0.1", "graduation: -.inf", "key instruments.0.graduation"},
	} {
		dir := heronSurvey(t, func(f map[string]string) { f["survey.yaml"] = strings.Replace(f["survey.yaml"], c.old, c.new, 1) })
		_, err := pipeline.Check(context.Background(), dir, pipeline.Options{})
		var mistakes config.Mistakes
		if !errors.As(err, &mistakes) || len(mistakes) != 1 || mistakes[0].Line == 0 || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.new, err)
		}
	}
}
