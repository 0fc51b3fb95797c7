package succession

import (
	"slices"
	"testing"

	"spadefoot/pipeline/record"
)

// Terms have the same numbers whether captures share them or not.
func TestTerms(t *testing.T) {
	shared := record.NewNames([]string{"sex", "locality"})
	var terms Terms
	for n, tt := range []struct {
		terms  []string
		shared *record.Names
		want   []int
	}{
		{[]string{"locality", "day"}, nil, []int{0, 1}},
		{shared.All, shared, []int{2, 0}},
		{[]string{"day"}, nil, []int{1}},
		{shared.All, shared, []int{2, 0}},
		{shared.All, nil, []int{2, 0}},
		{nil, nil, nil},
	} {
		c := &record.Capture{Terms: tt.shared}
		for _, term := range tt.terms {
			c.Values = append(c.Values, record.Value{Field: record.Of(term)})
		}
		if got := terms.Of(c); !slices.Equal(got, tt.want) {
			t.Errorf("capture %d: %v, want %v", n, got, tt.want)
		}
	}
	if want := []string{"locality", "day", "sex"}; !slices.Equal(terms.All(), want) {
		t.Errorf("%q, want %q", terms.All(), want)
	}
}
