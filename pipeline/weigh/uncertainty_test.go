package weigh

import "testing"

func TestDifference(t *testing.T) {
	for _, c := range []struct {
		a, b   float64
		places int
		want   float64
		text   string
	}{
		{33.5, 4, 1, 29.5, "29.5"}, {29, 4.5, 1, 24.5, "24.5"}, {0.3, 0.1, 1, 0.2, "0.2"}, {4, 33.25, 2, -29.25, "-29.25"},
		{33, 4.25, 2, 28.75, "28.75"}, {33, 4, 0, 29, "29"}, {33, 4, 3, 29, "29.000"}, {1234, 28, -1, 1206, "1210"},
		{84.1375, 14.1747615625, 1, 69.9627384375, "70.0"}, {4.01, 4.02, 1, -0.01, "0.0"}, {4, 4, 0, 0, "0"},
	} {
		if v, s := difference(c.a, c.b, c.places); v != c.want || s != c.text {
			t.Errorf("%v − %v to %v places: %v %q, want %v %q", c.a, c.b, c.places, v, s, c.want, c.text)
		}
	}
}
