package screen

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// spread gathers values in whole millionths, so that no sum depends on their order.
type spread struct {
	N            int
	Sum, Squares wide
}

// farthest is the value that larger ones count as.
const farthest = 1e9

func (s *spread) add(v float64) {
	s.N++
	whole := int64(math.Round(1e6 * max(-farthest, min(v, farthest))))
	s.Sum.add(wide{uint64(whole >> 63), uint64(whole)})
	size := uint64(max(whole, -whole))
	high, low := bits.Mul64(size, size)
	s.Squares.add(wide{high, low})
}

func (s *spread) join(o *spread) {
	s.N += o.N
	s.Sum.add(o.Sum)
	s.Squares.add(o.Squares)
}

// deviation is the standard deviation of the sample.
func (s *spread) deviation() float64 {
	n, sum := big.NewInt(int64(s.N)), s.Sum.number()
	squares := new(big.Int).Mul(n, s.Squares.number())
	over, _ := new(big.Float).SetInt(squares.Sub(squares, sum.Mul(sum, sum))).Float64()
	return math.Sqrt(over/float64(s.N)/float64(s.N-1)) / 1e6
}

// wide is a whole number of 128 bits.
type wide struct{ High, Low uint64 }

func (w *wide) add(o wide) {
	var carry uint64
	w.Low, carry = bits.Add64(w.Low, o.Low, 0)
	w.High, _ = bits.Add64(w.High, o.High, carry)
}

func (w wide) number() *big.Int {
	n := big.NewInt(int64(w.High))
	return n.Add(n.Lsh(n, 64), new(big.Int).SetUint64(w.Low))
}

// add counts a reading by its decimals and last digit as written.
func (h *digitHabit) add(r *record.Reading) {
	w := writtenOf(r)
	h.N++
	h.Values.add(w.value)
	c := h.counts(w.decimals)
	c.Readings++
	if d := w.last(); d >= 0 {
		c.Digits[d]++
	}
}

// counts are those of the readings with so many decimals.
func (h *digitHabit) counts(decimals int) *digitCount {
	at := 0
	for at < len(h.Digits) && h.Digits[at].Decimals < decimals {
		at++
	}
	if at == len(h.Digits) || h.Digits[at].Decimals > decimals {
		h.Digits = slices.Insert(h.Digits, at, digitCount{Decimals: decimals})
	}
	return &h.Digits[at]
}

// preferredDigits tests the last digits of every hand with enough readings by
// chi-square, at HabitRate shared between the tests. Digits that the
// instrument cannot show do not count against anyone: where only 0 and 5, or
// only even digits occur, those are the possible ones. Hands whose readings do
// not spread over at least ten steps of the last digit are left out, because
// nature alone then favours some digits.
func (h *digitHabits) preferredDigits(s Settings) []record.Finding {
	type test struct {
		one *digitHabit
		t   statistics.DigitTest
	}
	var tests []test
	for _, one := range h.sorted() {
		counts, n, decimals := one.lastDigits()
		if n < s.MinDigits || !one.wide(decimals) {
			continue
		}
		t := statistics.TerminalDigits(counts, possibleDigits(counts))
		if t.Freedom >= 1 && float64(t.N)/float64(t.Freedom+1) >= 5 {
			tests = append(tests, test{one, t})
		}
	}
	var findings []record.Finding
	for _, t := range tests {
		limit := s.HabitRate / float64(len(tests))
		if t.t.P > limit {
			continue
		}
		f := t.one.finding("digit-preferred")
		f.Figures = []record.Figure{{Name: "n", Value: float64(t.t.N)}, {Name: "statistic", Value: t.t.Statistic},
			{Name: "freedom", Value: float64(t.t.Freedom)}, {Name: "p", Value: t.t.P}, {Name: "threshold", Value: limit}}
		f.Reason = fmt.Sprintf("last digits of %s are not equally frequent: %.0f %% end in %d, with %.0f %% expected (chi-square %.3g with %d degrees of freedom). Read to the nearest mark, without rounding.",
			t.one.description(), 100*t.t.Share, t.t.Digit, 100/float64(t.t.Freedom+1), t.t.Statistic, t.t.Freedom)
		findings = append(findings, f)
	}
	return findings
}

// lastDigits returns the counts of the last digits of the readings with the
// hand's usual number of decimals, the lower of equals.
func (h *digitHabit) lastDigits() (counts [10]int, n, decimals int) {
	most := 0
	for _, c := range h.Digits {
		if c.Readings > most {
			most, counts, decimals = c.Readings, c.Digits, c.Decimals
		}
	}
	for _, k := range counts {
		n += k
	}
	return counts, n, decimals
}

// wide reports whether the readings spread over ten steps of the last digit.
func (h *digitHabit) wide(decimals int) bool {
	return h.Values.deviation() >= 10*math.Pow10(-decimals)
}

// possibleDigits guesses what the instrument can show.
func possibleDigits(counts [10]int) []int {
	n, halves, even := 0, counts[0]+counts[5], 0
	for d, k := range counts {
		n += k
		if d%2 == 0 {
			even += k
		}
	}
	switch {
	case halves == n && counts[5] > 0:
		return []int{0, 5}
	case even == n && counts[2]+counts[4]+counts[6]+counts[8] > 0:
		return []int{0, 2, 4, 6, 8}
	}
	return nil
}
