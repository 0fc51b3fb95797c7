package pipeline_test

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// What is proposed for a survey with sensitive taxa tells no place that is
// withheld, and withheld places do not keep other doubts from being proposed.
func TestProposalsTellNoPlace(t *testing.T) {
	dir, out := heronSurvey(t, nil), filepath.Join(t.TempDir(), "proposed.csv")
	p, err := pipeline.Propose(context.Background(), dir, pipeline.ProposeOptions{Out: out, Level: record.Note}, pipeline.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if p.Wanted == 0 {
		t.Error("nothing was proposed")
	}
	text := read(t, out)
	for _, s := range tells(map[string]string{"proposed.csv": text}, heronSecrets) {
		t.Error(s)
	}
	if !strings.Contains(text, "pond.csv") {
		t.Error(text)
	}
}
