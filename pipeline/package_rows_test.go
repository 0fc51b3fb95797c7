package pipeline

import (
	"strings"
	"testing"
)

// A package that lacks a row which the archive holds is not released.
func TestAPackageWithoutARow(t *testing.T) {
	for _, c := range []struct {
		occurrences, assertions int
		names                   string // table that the error names; empty for none
	}{
		{3, 7, ""},
		{3, 9, ""}, // terms without a field are assertions too
		{2, 7, "occurrence.csv"},
		{3, 6, "occurrence-assertion.csv"},
	} {
		counts := Counts{Captures: 3, Measurements: 7, Package: map[string]int{"occurrence": c.occurrences, "occurrence-assertion": c.assertions}}
		err := counts.samePackage()
		if (err != nil) != (c.names != "") || err != nil && !strings.Contains(err.Error(), " "+c.names+" ") {
			t.Errorf("%+v: %v", c, err)
		}
	}
}
