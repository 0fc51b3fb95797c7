package record

import (
	"fmt"
	"slices"
	"testing"
)

// Names have the places that a search of the list gives.
func TestNames(t *testing.T) {
	all := []string{"", "sex", "day", "year", "eventDate", "verbatimEventDate", "sex", "é", "minimumElevationInMeters", "maximumElevationInMeters"}
	for i := range 500 {
		all = append(all, fmt.Sprintf("%d eventDate", i))
	}
	for _, list := range [][]string{nil, all[:1], all[:2], all[:7], all} {
		n := NewNames(list)
		for _, name := range append(all, "eventdate", "x", "500 eventDate") {
			if got, want := n.Place(name), slices.Index(list, name); got != want {
				t.Errorf("%q among %d: at %d, want %d", name, len(list), got, want)
			}
		}
	}
}
