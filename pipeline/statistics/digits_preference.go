package statistics

import (
	"math"
)

// DigitTest is the outcome of a chi-square test of last digits.
type DigitTest struct {
	N         int
	Statistic float64
	Freedom   int
	P         float64
	Digit     int     // the digit most in excess
	Share     float64 // its share of all
}

// TerminalDigits tests whether the last digits of readings are used equally
// often (Pearson's chi-square). Counts are by digit; possible lists the digits
// that the instrument can show (0 and 5 for a scale divided in halves), nil
// for all ten. Counts of other digits are left out. P is NaN where fewer than
// two digits are possible or nothing was counted; the chi-square approximation
// wants at least five expected per digit, which is for the caller to see to.
func TerminalDigits(counts [10]int, possible []int) DigitTest {
	if possible == nil {
		possible = []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}
	}
	t := DigitTest{Freedom: len(possible) - 1, P: math.NaN(), Digit: -1}
	for _, d := range possible {
		t.N += counts[d]
	}
	if t.N == 0 || t.Freedom < 1 {
		return t
	}
	expected := float64(t.N) / float64(len(possible))
	for _, d := range possible {
		diff := float64(counts[d]) - expected
		t.Statistic += diff * diff / expected
		if t.Digit < 0 || counts[d] > counts[t.Digit] {
			t.Digit = d
		}
	}
	t.Share = float64(counts[t.Digit]) / float64(t.N)
	t.P = ChiSquareSurvival(t.Statistic, float64(t.Freedom))
	return t
}
