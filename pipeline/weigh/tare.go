package weigh

import (
	"fmt"
	"math"
	"sync"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/statistics"
)

// TareSummary gathers the tares of a sheet and of the sessions in it. The zero
// value is ready; Merge of two parts equals adding every tare to one, in any
// order.
//
// It takes as much memory as there are different masses among the tares, and
// some fifty bytes for each session, up to maxSessions.
type TareSummary struct {
	tares   statistics.Sample
	octaves map[int]int // animals by the power of two that their grams lie above
	judge   *tareJudge
}

// maxSessions is the number of sessions whose tares are known apart. Of more,
// all go by the sheet.
const maxSessions = 1 << 16

// session is what is kept of the tares of one session: enough for the mean of
// their logs without the smallest and the largest.
type session struct {
	n         int
	sum       int64   // of logs, in logUnit, so that the order in which they come does not matter
	low, high float64 // logs
}

const logUnit = 1.0 / (1 << 36)

func (s *session) add(log float64) {
	if s.n == 0 {
		s.low, s.high = log, log
	}
	s.n++
	s.sum += int64(math.Round(log / logUnit))
	s.low, s.high = min(s.low, log), max(s.high, log)
}

func (s *session) merge(o *session) {
	if o.n == 0 {
		return
	}
	if s.n == 0 {
		s.low, s.high = o.low, o.high
	}
	s.n += o.n
	s.sum += o.sum
	s.low, s.high = min(s.low, o.low), max(s.high, o.high)
}

// centre returns the mean log without the smallest and the largest, and of how
// many it is.
func (s *session) centre() (mean float64, n int) {
	if n = s.n - 2; n < 1 {
		return 0, 0
	}
	return (float64(s.sum)*logUnit - s.low - s.high) / float64(n), n
}

// tareJudge is what a capture's tare is held against, worked out once. Copies of
// a summary share it.
type tareJudge struct {
	sessions map[uint64]*session // by hash; nil once they are too many

	mu      sync.Mutex
	settled bool
	centre  float64 // median log
	scale   float64 // of the logs about it
}

// settle works out what tares are held against.
func (t TareSummary) settle() (centre, scale float64) {
	j := t.judge
	if j == nil {
		return math.NaN(), math.NaN()
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.settled {
		j.settled = true
		j.centre, j.scale = t.logScale()
	}
	return j.centre, j.scale
}

// Add takes one tare in grams into account. Not-a-number and infinities are
// left out.
func (t *TareSummary) Add(mass float64) {
	if math.IsNaN(mass) || math.IsInf(mass, 0) {
		return
	}
	t.begin()
	t.tares.Add(mass)
}

// begin makes ready for more tares.
func (t *TareSummary) begin() {
	if t.judge == nil {
		t.octaves, t.judge = map[int]int{}, &tareJudge{sessions: map[uint64]*session{}}
	}
	t.judge.settled = false
}

// AddCapture adds the capture's tare if it was weighed with the animal.
func (t *TareSummary) AddCapture(c *record.Capture) {
	w := c.Weighing
	if !judged(w) {
		return
	}
	t.Add(w.Tare.Number)
	if s := t.session(sessionOf(c)); s != nil && w.Tare.Number > 0 {
		s.add(math.Log(w.Tare.Number))
	}
	if octave, ok := octaveOf(w); ok {
		t.octaves[octave]++
	}
}

// octaveOf returns the power of two that the mass of the animal in grams lies
// above, if it is known.
func octaveOf(w *record.Weighing) (octave int, ok bool) {
	mass, ok := w.Animal()
	return math.Ilogb(mass), ok
}

func sessionOf(c *record.Capture) uint64 { return uint64(digest.Start.Text(c.Session)) }

// session returns a place for the tares of a session; nil where there are too many
// sessions.
func (t *TareSummary) session(mark uint64) *session {
	all := t.judge.sessions
	s := all[mark]
	if s == nil && all != nil {
		if len(all) == maxSessions {
			t.judge.sessions = nil
			return nil
		}
		s = &session{}
		all[mark] = s
	}
	return s
}

// judged reports whether the tare is one of its own that others can be held
// against: one tare for a whole session is not.
func judged(w *record.Weighing) bool {
	return w != nil && w.Tare != nil && w.Tare.Usable() && w.Way == record.SameRow
}

// Merge adds the tares of another part of the session.
func (t *TareSummary) Merge(o TareSummary) {
	if o.judge == nil {
		return
	}
	t.begin()
	t.tares.Merge(&o.tares)
	if o.judge.sessions == nil {
		t.judge.sessions = nil
	}
	for octave, n := range o.octaves {
		t.octaves[octave] += n
	}
	for mark, from := range o.judge.sessions {
		if s := t.session(mark); s != nil {
			s.merge(from)
		}
	}
}

// N is the number of tares.
func (t TareSummary) N() int { return t.tares.Len() }

// logScale returns the median of the logs of the tares and their spread about it:
// MAD/0.6745 or, where more than half of them are equal and the MAD is zero,
// 1.2533 times the mean absolute deviation, which estimates the same standard
// deviation for normal values (√(π/2) = 1.2533).
func (t TareSummary) logScale() (centre, scale float64) {
	logs := t.tares.Mapped(func(v float64) float64 {
		if v > 0 {
			return math.Log(v)
		}
		return math.NaN()
	})
	c := logs.Centre()
	if scale = c.RawMAD / 0.6745; scale == 0 {
		scale = math.Sqrt(math.Pi/2) * c.MeanAD
	}
	return c.Median, scale
}

const (
	wetBag    = 0.15 // standard deviation of the log mass of one bag, dry and wet (common practice)
	bySheet   = 3    // tares of its own that the sheet counts for in a session
	sameKind  = 0.15 // difference of logs up to which two tares may be of one kind of bag
	minAlike  = 2    // other tares that make a kind of bag
	fewAlike  = 0.03 // and the share of all tares that they are
	manyAlike = 0.1  // share from which they are a kind of bag though a slip would explain them
	fewTares  = 50   // tares below which a size of bag may have been used once
	otherSize = 3    // times as heavy, or as light, as the others: what sizes of bags differ by (common practice)
)

// JudgeTare holds a capture's tare against the others of its session and, as
// far as these are few, of the sheet: by the modified z score of Iglewicz and
// Hoaglin (1993) on the logs, z = (log x − centre)/scale. The centre is the mean
// of the session, its smallest and largest left out, drawn to the median of the
// sheet as if that were so many more tares; the scale is the sheet's, at least
// that of a bag that gets wet and that of what the scale can show. A tare as
// other bags of the sheet weigh is a bag of another kind. One of up to otherSize
// times their mass, or as much lighter, is of another size where no usual slip
// explains it and the animal is larger or smaller than most as well, or the sheet
// is short. A sheet with fewer
// than Settings.TareMinimum tares gives no judgement.
func JudgeTare(c *record.Capture, sum TareSummary, s Settings) []record.Finding {
	s = s.withDefaults()
	n := sum.N()
	if c == nil || !judged(c.Weighing) || n < s.TareMinimum || !(c.Weighing.Tare.Number > 0) {
		return nil
	}
	tare := c.Weighing.Tare
	centre, scale := sum.settle()
	if own := sum.judge.sessions[sessionOf(c)]; own != nil {
		mean, k := own.centre()
		centre = (float64(k)*mean + bySheet*centre) / float64(k+bySheet)
	}
	mass := math.Exp(centre)
	scale = max(scale, wetBag, s.scaleFor(tare, c.Weighing).graduation/mass)
	z := (math.Log(tare.Number) - centre) / scale
	residual := math.Log(tare.Number) - centre
	if !(math.Abs(z) > s.TareCut) {
		return nil
	}
	slip := slipOfTare(residual, scale)
	if sum.kindOfBag(tare.Number, slip != "") {
		return nil
	}
	if slip == "" && math.Abs(residual) < math.Log(otherSize) && (n < fewTares || sum.suits(c.Weighing, residual)) {
		return nil // a bag of another size
	}
	j := &job{c: c, w: c.Weighing, s: s}
	f := j.find(ruleTareUnlike, tare, fmt.Sprintf("a bag of %s g among bags of about %s g", tare.Text, plain(significant(mass, 3))),
		record.Figure{Name: "value", Value: tare.Number}, record.Figure{Name: "n", Value: float64(n)},
		record.Figure{Name: "centre", Value: significant(mass, 6)}, record.Figure{Name: "scale", Value: significant(scale, 6)},
		record.Figure{Name: "statistic", Value: significant(z, 4)}, record.Figure{Name: "threshold", Value: s.TareCut})
	if slip != "" {
		f.Reason += "; " + slip
	}
	f.Group = "tares of session " + c.Session + " and of the sheet"
	f.Reference = "Iglewicz and Hoaglin 1993"
	return j.findings
}

// suits reports whether a bag lighter than the others holds an animal that is
// lighter than most, by an octave at least, or a heavier one a heavier animal.
func (t TareSummary) suits(w *record.Weighing, residual float64) bool {
	octave, ok := octaveOf(w)
	if !ok {
		return false
	}
	lighter, heavier := 0, 0
	for o, n := range t.octaves {
		if o < octave {
			lighter += n
		} else if o > octave {
			heavier += n
		}
	}
	if residual > 0 {
		lighter, heavier = heavier, lighter
	}
	return heavier > lighter+t.octaves[octave]
}

// slipsOfTare are the usual ones, by the factor that takes a tare back.
var slipsOfTare = []struct {
	by    float64
	story string
}{
	{28.349523125, "it may have been weighed in ounces"}, // avoirdupois, exact
	{10, "the decimal point may be one place too far left"},
	{0.1, "the decimal point may have been lost"},
}

// slipOfTare tells the usual slip that brings a log residual back among the
// others, "" if none does.
func slipOfTare(residual, scale float64) string {
	for _, slip := range slipsOfTare {
		if math.Abs(residual+math.Log(slip.by)) <= 2*scale {
			return slip.story
		}
	}
	return ""
}

// kindOfBag reports whether enough other tares are about the same: then it is a
// kind of bag, and not a slip.
func (t TareSummary) kindOfBag(mass float64, slip bool) bool {
	near := t.tares.Mapped(func(v float64) float64 {
		if v > 0 && math.Abs(math.Log(v/mass)) <= sameKind {
			return v
		}
		return math.NaN()
	})
	alike := near.Len() - 1 // without itself
	share := fewAlike
	if slip {
		share = manyAlike
	}
	return alike >= minAlike && float64(alike) >= share*float64(t.N())
}
