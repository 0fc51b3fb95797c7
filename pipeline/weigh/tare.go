package weigh

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"spadefoot/pipeline/record"
)

// TareSummary gathers the tares of one session. The zero value is ready; Merge
// of two parts equals adding every tare to one, in any order.
//
// It takes as much memory as there are different masses among the tares.
type TareSummary struct {
	counts map[float64]int
	judge  *tareJudge
}

// tareJudge is what a capture's tare is held against, worked out once. Copies of
// a summary share it.
type tareJudge struct {
	total int // tares

	mu          sync.Mutex
	settled     bool
	median, mad float64
	mean        float64 // absolute deviation from the median
}

// settle works out what tares are held against.
func (t TareSummary) settle() (median, mad, mean float64) {
	j := t.judge
	if j == nil {
		return math.NaN(), math.NaN(), math.NaN()
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.settled {
		j.settled, j.median, j.mad, j.mean = true, t.Median(), t.MAD(), t.meanDeviation()
	}
	return j.median, j.mad, j.mean
}

// Add takes one tare in grams into account. Not-a-number and infinities are
// left out.
func (t *TareSummary) Add(mass float64) { t.add(mass, 1) }

func (t *TareSummary) add(mass float64, n int) {
	if math.IsNaN(mass) || math.IsInf(mass, 0) {
		return
	}
	if t.counts == nil {
		t.counts, t.judge = map[float64]int{}, &tareJudge{}
	}
	t.counts[mass] += n
	t.judge.total += n
	t.judge.settled = false
}

// AddCapture adds the capture's tare if it was weighed with the animal.
func (t *TareSummary) AddCapture(c *record.Capture) {
	if w := c.Weighing; judged(w) {
		t.Add(w.Tare.Number)
	}
}

// judged reports whether the tare is one of its own that others can be held
// against: one tare for a whole session is not.
func judged(w *record.Weighing) bool {
	return w != nil && w.Tare != nil && w.Tare.Usable() && w.Way == record.SameRow
}

// Merge adds the tares of another part of the session.
func (t *TareSummary) Merge(o TareSummary) {
	for v, n := range o.counts {
		t.add(v, n)
	}
}

// N is the number of tares.
func (t TareSummary) N() int {
	if t.judge == nil {
		return 0
	}
	return t.judge.total
}

// Median gives the middle tare in grams, NaN if there are none.
func (t TareSummary) Median() float64 { return median(t.counts) }

// MAD gives the median of the absolute deviations from the median, not scaled,
// in grams; NaN if there are no tares.
func (t TareSummary) MAD() float64 {
	centre := t.Median()
	deviations := map[float64]int{}
	for v, n := range t.counts {
		deviations[math.Abs(v-centre)] += n
	}
	return median(deviations)
}

// meanDeviation gives the mean absolute deviation from the median.
func (t TareSummary) meanDeviation() float64 {
	centre, sum := t.Median(), 0.0
	for _, v := range sorted(t.counts) {
		sum += math.Abs(v-centre) * float64(t.counts[v])
	}
	return sum / float64(t.N())
}

func sorted(counts map[float64]int) []float64 {
	values := make([]float64, 0, len(counts))
	for v := range counts {
		values = append(values, v)
	}
	slices.Sort(values)
	return values
}

func median(counts map[float64]int) float64 {
	n := 0
	for _, k := range counts {
		n += k
	}
	if n == 0 {
		return math.NaN()
	}
	low, high := math.NaN(), math.NaN()
	seen := 0
	for _, v := range sorted(counts) {
		seen += counts[v]
		if math.IsNaN(low) && seen > (n-1)/2 {
			low = v
		}
		if seen > n/2 {
			high = v
			break
		}
	}
	return (low + high) / 2
}

// scale estimates the spread of the tares: MAD/0.6745, or, where more than
// half of them are equal and the MAD is zero, 1.2533 times the mean absolute
// deviation, which estimates the same standard deviation for normal values
// (√(π/2) = 1.2533). It is never taken below one graduation, since tares cannot
// be told apart more finely than they were read.
func (t TareSummary) scale(graduation float64) float64 {
	_, mad, mean := t.settle()
	s := mad / 0.6745
	if s == 0 {
		s = math.Sqrt(math.Pi/2) * mean
	}
	return math.Max(s, graduation)
}

// JudgeTare holds a capture's tare against the others of its session by the
// modified z score of Iglewicz and Hoaglin (1993), z = (x − median)/scale. A
// session with fewer than Settings.TareMinimum tares gives no judgement.
func JudgeTare(c *record.Capture, sum TareSummary, s Settings) []record.Finding {
	s = s.withDefaults()
	n := sum.N()
	if c == nil || !judged(c.Weighing) || n < s.TareMinimum {
		return nil
	}
	tare := c.Weighing.Tare
	scale := sum.scale(s.scaleFor(tare, c.Weighing).graduation)
	if scale <= 0 {
		return nil
	}
	centre, _, _ := sum.settle()
	z := (tare.Number - centre) / scale
	if math.Abs(z) <= s.TareCut {
		return nil
	}
	j := &job{c: c, w: c.Weighing, s: s}
	f := j.find(ruleTareUnlike, tare, fmt.Sprintf("a bag of %s g among bags of about %s g", tare.Text, plain(centre)),
		record.Figure{Name: "value", Value: tare.Number}, record.Figure{Name: "n", Value: float64(n)},
		record.Figure{Name: "centre", Value: significant(centre, 6)}, record.Figure{Name: "scale", Value: significant(scale, 6)},
		record.Figure{Name: "statistic", Value: significant(z, 4)}, record.Figure{Name: "threshold", Value: s.TareCut})
	f.Group = "tares of session " + c.Session
	f.Reference = "Iglewicz and Hoaglin 1993"
	return j.findings
}
