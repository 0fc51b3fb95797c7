package mapping

import (
	"strings"
	"testing"
)

func TestObjectionsHaveAPlaceForEachFigure(t *testing.T) {
	t.Parallel()
	all := againstEmpty
	for _, s := range subjects {
		all = append(all[:len(all):len(all)], s.objections...)
	}
	for _, o := range all {
		if places := strings.Count(strings.ReplaceAll(o.why, "%%", ""), "%"); (places > 0) != (o.figures != nil) {
			t.Errorf("%q: %d places for figures, and figures are given: %t", o.why, places, o.figures != nil)
		}
	}
}
