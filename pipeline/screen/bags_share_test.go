package screen

import (
	"math"
	"testing"
)

// A mass that stands alone has the odds that hold in every survey, whatever it tells
// itself; where others plainly have the bag in, it is likelier to, and where none has
// less likely.
func TestShareOfBagsLeftIn(t *testing.T) {
	const odds = 0.0025
	for _, gain := range []float64{-6, 0, 3, 6, 40} {
		if got := shareOf([]float64{gain}, odds).without(gain); math.Abs(got-odds) > 0.05*odds {
			t.Errorf("alone, gain %g: odds %g, want %g", gain, got, odds)
		}
	}
	survey := func(plain, clean int) (gains []float64) {
		for i := range plain + clean {
			gains = append(gains, -3)
			if i < plain {
				gains[i] = 6
			}
		}
		return gains
	}
	for _, c := range []struct {
		plain, clean int
		low, high    float64
	}{
		{0, 300, 0, odds / 5}, {1, 75, 0, odds}, {4, 75, 10 * odds, 0.08}, {20, 300, 0.045, 0.085},
	} {
		if got := shareOf(append(survey(c.plain, c.clean), 2), odds).without(2); got < c.low || got > c.high {
			t.Errorf("%d of %d plain: odds %.4f, want %.4f to %.4f", c.plain, c.plain+c.clean, got, c.low, c.high)
		}
	}
}
