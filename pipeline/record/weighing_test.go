package record_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
)

func TestReadingsOfAWeighing(t *testing.T) {
	gross, tare, net := &record.Reading{Text: "28.1"}, &record.Reading{Text: "4.5"}, &record.Reading{Text: "23.6"}
	for _, c := range []struct {
		w    *record.Weighing
		want []*record.Reading
	}{
		{nil, nil}, {&record.Weighing{}, nil}, {&record.Weighing{Net: net, Gross: gross}, []*record.Reading{gross, net}},
		{&record.Weighing{Gross: gross, Tare: tare, Net: net}, []*record.Reading{gross, tare, net}},
	} {
		if got := slices.Collect(c.w.Readings()); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.w, got, c.want)
		}
	}
}

func TestEnumerated(t *testing.T) {
	for want, words := range map[string][]string{"": nil, "a": {"a"}, "a and b": {"a", "b"}, "a, b and c": {"a", "b", "c"}} {
		if d := cmp.Diff(want, record.Enumerated(words)); d != "" {
			t.Error(d)
		}
	}
}
