package record

import "testing"

func TestGather(t *testing.T) {
	f := Finding{Reason: "no word"}
	for _, c := range []struct {
		also, cells int
		want        string
	}{
		{0, 1, "no word"}, {2, 3, "no word; 3 cells in all"}, {1, 8, "no word; 8 cells in all, of which the first 2 are named"}, {0, 1, "no word"},
	} {
		f.Also = make([]Address, c.also)
		f.Gather(c.cells)
		if f.Reason != c.want || f.Gathered() != (c.cells > 1) {
			t.Errorf("got %q, want %q", f.Reason, c.want)
		}
	}
}
