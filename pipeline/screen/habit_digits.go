package screen

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// preferredDigits tests the last digits of every hand with enough readings by
// chi-square, at HabitRate shared between the tests. Digits that the
// instrument cannot show do not count against anyone: where only 0 and 5, or
// only even digits occur, those are the possible ones. Hands whose readings do
// not spread over at least ten steps of the last digit are left out, because
// nature alone then favours some digits.
func preferredDigits(hands []hand, s Settings) []record.Finding {
	type test struct {
		h *hand
		t statistics.DigitTest
	}
	tests := make([]test, len(hands))
	eachOf(len(hands), 1, func(i int) {
		h := &hands[i]
		counts, n, decimals := h.lastDigits()
		if n < s.MinDigits || !h.wide(decimals) {
			return
		}
		t := statistics.TerminalDigits(counts, possibleDigits(counts))
		if t.Freedom >= 1 && float64(t.N)/float64(t.Freedom+1) >= 5 {
			tests[i] = test{h, t}
		}
	})
	tests = slices.DeleteFunc(tests, func(t test) bool { return t.h == nil })
	var findings []record.Finding
	for _, t := range tests {
		limit := s.HabitRate / float64(len(tests))
		if t.t.P > limit {
			continue
		}
		f := t.h.finding("digit-preferred")
		f.Figures = []record.Figure{{Name: "n", Value: float64(t.t.N)}, {Name: "statistic", Value: t.t.Statistic},
			{Name: "freedom", Value: float64(t.t.Freedom)}, {Name: "p", Value: t.t.P}, {Name: "threshold", Value: limit}}
		f.Reason = fmt.Sprintf("Last digits of %s are not used equally often: %.0f %% end in %d where %.0f %% would (chi-square %.3g with %d degrees of freedom). Read to the nearest mark, without rounding to handy figures.",
			t.h.said(), 100*t.t.Share, t.t.Digit, 100/float64(t.t.Freedom+1), t.t.Statistic, t.t.Freedom)
		findings = append(findings, f)
	}
	return findings
}

// lastDigits counts the last digits of the readings with the hand's usual
// number of decimals.
func (h *hand) lastDigits() (counts [10]int, n, decimals int) {
	per := map[int]int{}
	wrote := make([]written, len(h.readings))
	for i, r := range h.readings {
		wrote[i] = writtenOf(r)
		per[wrote[i].decimals()]++
	}
	for d, k := range per {
		if k > per[decimals] || k == per[decimals] && d < decimals {
			decimals = d
		}
	}
	for _, w := range wrote {
		if at := digitPlaces(w.text); w.decimals() == decimals && len(at) > 0 {
			counts[w.text[at[len(at)-1]]-'0']++
			n++
		}
	}
	return counts, n, decimals
}

// wide reports whether the readings spread over ten steps of the last digit.
func (h *hand) wide(decimals int) bool {
	values := make([]float64, len(h.readings))
	for i, r := range h.readings {
		values[i] = writtenOf(r).value
	}
	return stat.StdDev(values, nil) >= 10*math.Pow10(-decimals)
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
