package weigh

import (
	"math"
	"testing"
)

func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		graduation float64
		want       int
	}{
		{0.5, 1}, {0.1, 1}, {0.2, 1}, {0.25, 2}, {1, 0}, {2, 0}, {5, 0}, {10, -1}, {20, -1}, {100, -2}, {0.01, 2}, {0.001, 3},
		{25, 0}, {2.835, 0}, {28.35, -1}, {0, 0}, {-1, 0}, {math.Pow10(-3), 3},
	} {
		if got := places(c.graduation); got != c.want {
			t.Errorf("%v: %d, want %d", c.graduation, got, c.want)
		}
	}
}

func TestDifference(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		step float64
		want float64
		text string
	}{
		{33.5, 4, .5, 29.5, "29.5"}, {0.3, 0.1, .1, 0.2, "0.2"}, {33.25, 4, .1, 29.3, "29.3"}, {4, 33.25, .1, -29.3, "-29.3"},
		{33.3, 4, .5, 29.5, "29.5"}, {33.1, 4, .2, 29.2, "29.2"}, {33, 4.25, .25, 28.75, "28.75"},
		{1234, 20, 10, 1210, "1210"}, {1235, 20, 10, 1220, "1220"}, {33, 4.2, 1, 29, "29"},
	} {
		if v, s := difference(c.a, c.b, c.step); v != c.want || s != c.text {
			t.Errorf("%v − %v to %v: %v %q, want %v %q", c.a, c.b, c.step, v, s, c.want, c.text)
		}
	}
}
