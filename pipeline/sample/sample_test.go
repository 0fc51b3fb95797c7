package sample

import (
	"fmt"
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

func sampleOf(t *testing.T, captures []*record.Capture) Captures {
	t.Helper()
	var s Captures
	for _, c := range captures {
		if err := s.Add(c); err != nil {
			t.Fatal(err)
		}
	}
	return s
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
	if len(forward) != Max || !slices.EqualFunc(forward, backward, func(a, b sampled) bool { return a.at == b.at }) {
		t.Errorf("%d and %d sampled, or not the same", len(forward), len(backward))
	}
}
