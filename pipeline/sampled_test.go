package pipeline

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"spadefoot/pipeline/record"
)

func sampleOf(t *testing.T, captures []*record.Capture) sample {
	t.Helper()
	var s sample
	for _, c := range captures {
		if err := s.add(c); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// Captures of every kind of survey fit their schema.
func TestCapturesFitTheirSchema(t *testing.T) {
	for _, folder := range []string{"demo", "notebook", "training"} {
		r, err := Check(context.Background(), "../testdata/"+folder, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for part := range slices.Chunk(r.Captures, maxSampled) {
			if err := sampleOf(t, part).check(); err != nil {
				t.Errorf("%s: %v", folder, err)
			}
		}
	}
}

// The sample is the same whatever the order, and no larger than it may be.
func TestSampleDoesNotDependOnOrder(t *testing.T) {
	var captures []*record.Capture
	for i := range 500 {
		captures = append(captures, &record.Capture{ID: fmt.Sprint("urn:uuid:", i), File: "a.csv", Row: i + 2})
	}
	forward := sampleOf(t, captures)
	slices.Reverse(captures)
	backward := sampleOf(t, captures)
	if len(forward) != maxSampled || !slices.EqualFunc(forward, backward, func(a, b sampled) bool { return a.at == b.at }) {
		t.Errorf("%d and %d sampled, or not the same", len(forward), len(backward))
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
		{"a measured reading without a unit", "Unit", func(c *record.Capture) { c.Reading("snoutVentLength").Unit = "" }},
		{"an unknown way to weigh", "Weighing", func(c *record.Capture) { c.Weighing.Way = "by eye" }},
		{"a number that is none", "NaN", func(c *record.Capture) { c.Reading("snoutVentLength").Number = math.NaN() }},
	} {
		c := *r.Captures[i]
		c.Readings = slices.Clone(c.Readings)
		w := *c.Weighing
		c.Weighing = &w
		f.spoil(&c)
		var s sample
		err := s.add(&c)
		if err == nil {
			err = s.check()
		}
		if err == nil || !strings.Contains(err.Error(), f.want) {
			t.Errorf("%s: %v, want something about %s", f.name, err, f.want)
		}
	}
}
