package pipeline

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/sample"
)

// Captures of every kind of survey fit their schema.
func TestCapturesFitTheirSchema(t *testing.T) {
	for _, folder := range []string{"demo", "notebook", "training"} {
		r, err := Check(context.Background(), "../testdata/"+folder, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for part := range slices.Chunk(r.Captures, sample.Max) {
			var s sample.Captures
			for _, c := range part {
				if err := s.Add(c); err != nil {
					t.Fatal(err)
				}
			}
			if err := s.Check(); err != nil {
				t.Errorf("%s: %v", folder, err)
			}
		}
	}
}

// What no capture should be is found.
func TestFaultyCapturesAreFound(t *testing.T) {
	r, err := Check(context.Background(), "../testdata/demo", Options{})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(r.Captures, func(c *record.Capture) bool { return c.Reading("snoutVentLength") != nil && c.Weighing != nil })
	for _, f := range []struct {
		name, want string
		spoil      func(*record.Capture)
	}{
		{"no identifier", "ID", func(c *record.Capture) { c.ID = "" }},
		{"no key", "Key", func(c *record.Capture) { c.Key = "" }},
		{"a measured reading without a number", "Text", func(c *record.Capture) { c.Reading("snoutVentLength").Text = "long" }},
		{"a measured reading without a unit", "Unit", func(c *record.Capture) { c.Reading("snoutVentLength").Vary(func(s *record.Series) { s.Unit = "" }) }},
		{"an unknown way to weigh", "Weighing", func(c *record.Capture) { c.Weighing.Way = "by eye" }},
		{"a number that is none", "NaN", func(c *record.Capture) { c.Reading("snoutVentLength").Number = math.NaN() }},
	} {
		c := *r.Captures[i]
		c.Readings = slices.Clone(c.Readings)
		w := *c.Weighing
		c.Weighing = &w
		f.spoil(&c)
		var s sample.Captures
		err := s.Add(&c)
		if err == nil {
			err = s.Check()
		}
		if err == nil || !strings.Contains(err.Error(), f.want) {
			t.Errorf("%s: %v, want something about %s", f.name, err, f.want)
		}
	}
}
