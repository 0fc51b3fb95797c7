package sheet

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestHeaded reads columns of fixed width whose headings and values have blanks
// within.
func TestHeaded(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []string
		want  []string // the cells of the headings
	}{
		{"two words of a heading, one of which nothing is under", []string{
			"Date       SVL mm  Mass",
			"3 May 2021 45.2    8.1",
			"3 May 2021 47.0    9.4",
			"4 May 2021 44.8    7.9"}, []string{"Date", "SVL mm", "Mass"}},
		{"a gap in the values without a heading behind it", []string{
			"Species           SVL",
			"Rana  temporaria  45",
			"Bufo  bufo        61",
			"Rana  arvalis     52"}, []string{"Species", "SVL"}},
		{"one blank between two headings with values under both", []string{
			"Sex SVL Mass",
			"F   45  8.1",
			"M   47  9.4",
			"F   44  7.9"}, []string{"Sex", "SVL", "Mass"}},
	} {
		if d := cmp.Diff(c.want, alignedFields(c.lines[0], gapsOf(c.lines))); d != "" {
			t.Errorf("%s: %s", c.name, d)
		}
	}
}
