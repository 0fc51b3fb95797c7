package screen

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// moments are the number, mean and sum of squared residuals of values that
// come one by one (Welford 1962).
type moments struct {
	n             int
	mean, squares float64
}

func (m *moments) add(v float64) {
	m.n++
	d := v - m.mean
	m.mean += d / float64(m.n)
	m.squares += d * (v - m.mean)
}

// deviation is the standard deviation of the sample.
func (m *moments) deviation() float64 { return math.Sqrt(m.squares / float64(m.n-1)) }

// add counts a reading by its decimals and last digit as written.
func (h *hand) add(r *record.Reading) {
	w := writtenOf(r)
	h.n++
	h.values.add(w.value)
	decimals := w.decimals()
	at, ok := slices.BinarySearchFunc(h.digits, decimals, func(c digitCount, d int) int { return c.decimals - d })
	if !ok {
		h.digits = slices.Insert(h.digits, at, digitCount{decimals: decimals})
	}
	c := &h.digits[at]
	c.readings++
	if d := lastDigit(w.text); d >= 0 {
		c.digits[d]++
	}
}

// lastDigit returns the last digit of a text, -1 if there is none.
func lastDigit(text string) int {
	for i := len(text) - 1; i >= 0; i-- {
		if text[i] >= '0' && text[i] <= '9' {
			return int(text[i] - '0')
		}
	}
	return -1
}

// preferredDigits tests the last digits of every hand with enough readings by
// chi-square, at HabitRate shared between the tests. Digits that the
// instrument cannot show do not count against anyone: where only 0 and 5, or
// only even digits occur, those are the possible ones. Hands whose readings do
// not spread over at least ten steps of the last digit are left out, because
// nature alone then favours some digits.
func (h *hands) preferredDigits(s Settings) []record.Finding {
	type test struct {
		one *hand
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
			t.one.said(), 100*t.t.Share, t.t.Digit, 100/float64(t.t.Freedom+1), t.t.Statistic, t.t.Freedom)
		findings = append(findings, f)
	}
	return findings
}

// lastDigits returns the counts of the last digits of the readings with the
// hand's usual number of decimals, the lower of equals.
func (h *hand) lastDigits() (counts [10]int, n, decimals int) {
	most := 0
	for _, c := range h.digits {
		if c.readings > most {
			most, counts, decimals = c.readings, c.digits, c.decimals
		}
	}
	for _, k := range counts {
		n += k
	}
	return counts, n, decimals
}

// wide reports whether the readings spread over ten steps of the last digit.
func (h *hand) wide(decimals int) bool {
	return h.values.deviation() >= 10*math.Pow10(-decimals)
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
