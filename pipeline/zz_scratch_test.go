package pipeline_test

import (
	"context"
	"os"
	"testing"

	"spadefoot/pipeline"
)

func TestScratch(t *testing.T) {
	dir := os.Getenv("SCRATCH")
	if dir == "" {
		t.Skip()
	}
	r, err := pipeline.Run(context.Background(), dir, "/tmp/h/out", pipeline.Options{ExactPlaces: "/tmp/h/exact.csv"})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.Findings {
		t.Log(f.Level, f.Rule, f.At, f.Capture, f.Value, f.Reason, f.Group)
	}
	p, err := pipeline.Propose(context.Background(), dir, pipeline.ProposeOptions{Out: "/tmp/h/prop.csv", Replace: true, Level: 2}, pipeline.Options{})
	t.Log(p, err)
}
