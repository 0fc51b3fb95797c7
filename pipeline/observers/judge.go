package observers

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/vocabulary"
)

// judge sets the figures of a score against the line.
func (sc *Score) judge(line Line, s Settings) {
	enough := false
	if w := sc.Within; sc.WithinMissing == "" && w.Subjects >= s.Least {
		if line.RelativeTEM > 0 && !math.IsNaN(w.Relative) {
			by := w.Relative / w.TEM
			if w.TEM == 0 {
				by = 0
			}
			sc.atMost(Repeats, w.Relative, w.Low*by, w.High*by, line.RelativeTEM, w.Subjects, math.Log)
			enough = true
		}
		if line.Reliability > 0 && !math.IsNaN(w.Reliability) {
			of := func(tem float64) float64 { return 1 - tem*tem/(w.SD*w.SD) }
			sc.atLeast(Reliability, w.Reliability, of(w.High), of(w.Low), line.Reliability, w.Subjects)
			enough = true
		}
	}
	if b := sc.RelativeBias; sc.BiasMissing == "" && sc.Bias.Subjects >= s.Least && line.Bias > 0 && !math.IsNaN(b.Value) && !math.IsInf(b.Value, 0) {
		low, high := math.Abs(b.Low), math.Abs(b.High)
		low, high = math.Min(low, high), math.Max(low, high)
		if b.Low <= 0 && b.High >= 0 {
			low = 0
		}
		sc.atMost(BiasOf, math.Abs(b.Value), low, high, line.Bias, sc.Bias.Subjects, plain)
		enough = true
	}
	switch {
	case !enough:
		sc.Verdict = NotEnough
	case slices.ContainsFunc(sc.Criteria, func(c Criterion) bool { return c.Sure && !c.Pass }):
		sc.Verdict = Fail
	case slices.ContainsFunc(sc.Criteria, func(c Criterion) bool { return !c.Sure }):
		sc.Verdict = NotSure
	default:
		sc.Verdict = Pass
	}
	sc.Next = sc.next(s)
}

func (sc *Score) atMost(name string, v, low, high, line float64, n int, scale func(float64) float64) {
	sc.Criteria = append(sc.Criteria, Criterion{Name: name, Value: v, Low: low, High: high, Line: line,
		Pass: v <= line, Sure: high <= line || low > line, Excess: v / line}.withMore(n, scale))
}

func (sc *Score) atLeast(name string, v, low, high, line float64, n int) {
	c := Criterion{Name: name, Value: v, Low: low, High: high, Line: line, Pass: v >= line, Sure: low >= line || high < line}
	if line < 1 {
		c.Excess = (1 - v) / (1 - line)
	}
	sc.Criteria = append(sc.Criteria, c.withMore(n, func(v float64) float64 { return math.Log(1 - v) }))
}

func plain(v float64) float64 { return v }

// maxMore is the number of further individuals that are asked for at most.
const maxMore = 1000

// withMore says how many individuals more than n would take the line out of the
// interval, which on its scale is as wide on either side and goes with 1/√n: on that of
// logs for errors, whose intervals are of ratios.
func (c Criterion) withMore(n int, scale func(float64) float64) Criterion {
	if c.Sure {
		return c
	}
	half, off := (scale(c.High)-scale(c.Low))/2, scale(c.Value)-scale(c.Line)
	if c.Low <= 0 {
		half = scale(c.High) - scale(c.Value) // what lies beyond 0 is cut off
	}
	ratio := half / off
	c.More = maxMore
	if more := math.Ceil(float64(n)*ratio*ratio) - float64(n); more < maxMore {
		c.More = max(1, int(more))
	}
	return c
}

// next says what this observer should do about this measurement.
func (sc *Score) next(s Settings) string {
	if sc.Verdict == NotEnough {
		return fmt.Sprintf("measure %d individuals or more, each twice", s.Least)
	}
	var parts []string
	failed := map[string]bool{}
	more, open := 0, ""
	for _, c := range sc.Criteria {
		failed[c.Name] = !c.Pass
		if c.More > more {
			more, open = c.More, c.Name
		}
	}
	if failed[BiasOf] {
		parts = append(parts, sc.aboutBias())
	}
	if failed[Repeats] {
		parts = append(parts, fmt.Sprintf("repeats vary too much: two readings of one individual differ by up to %.2g %s. Use the same position and the same end points each time, and read before letting go",
			sc.Within.Repeatability, sc.Unit))
	}
	if failed[Reliability] && !failed[Repeats] {
		parts = append(parts, "the error is large compared with the differences between individuals: practise on individuals of several sizes")
	}
	switch {
	case more >= maxMore:
		parts = append(parts, "the "+open+" is right at the pass mark: more individuals would hardly settle it")
	case more > 0:
		parts = append(parts, fmt.Sprintf("measure about %d more individuals: there are too few to say on which side of the pass mark the %s is", more, open))
	}
	return strings.Join(parts, "; ")
}

func (sc *Score) aboutBias() string {
	way, b := "too large", sc.Bias.Bias.Value
	if b < 0 {
		way = "too small"
	}
	text := fmt.Sprintf("reads %.2g %s (%.1f %%) %s compared with the %s: check the end points and the zero of the instrument",
		math.Abs(b), sc.Unit, math.Abs(sc.RelativeBias.Value), way, sc.Reference)
	if sc.Bias.Subjects >= 5 && math.Abs(sc.Bias.Slope) > 3*sc.Bias.SlopeSE {
		text += "; the difference changes with size, as from a wrong end point or scale"
	}
	return text
}

// summarise joins the scores of one observer and ranks what to practise.
func summarise(who string, scores []Score) Observer {
	o := Observer{Name: who, Scores: scores}
	for i := range scores {
		scores[i].Next += elsewhere(&scores[i], scores)
	}
	type task struct {
		excess float64
		text   string
	}
	var tasks []task
	for _, sc := range scores {
		if !slices.ContainsFunc(sc.Criteria, func(c Criterion) bool { return !c.Pass }) {
			continue
		}
		worst := 0.0
		for _, c := range sc.Criteria {
			if !c.Pass {
				worst = math.Max(worst, c.Excess)
			}
		}
		tasks = append(tasks, task{worst, vocabulary.Label(sc.Measurement) + ": " + sc.Next})
	}
	o.Passed = o.Verdict() == Pass
	sorting.StableFunc(tasks, func(a, b task) int {
		return cmp.Or(cmp.Compare(b.excess, a.excess), strings.Compare(a.text, b.text))
	})
	for _, t := range tasks {
		o.Practise = append(o.Practise, t.text)
	}
	return o
}

// Verdict is the one on all measurements together, apart from those with too few
// readings.
func (o *Observer) Verdict() Verdict {
	for _, v := range []Verdict{Fail, NotSure, Pass} {
		if slices.ContainsFunc(o.Scores, func(sc Score) bool { return sc.Verdict == v }) {
			return v
		}
	}
	return NotEnough
}

// elsewhere tells a wrong zero from a wrong end point: a zero shifts every
// measurement of one unit by as much, an end point only its own.
func elsewhere(sc *Score, all []Score) string {
	if !slices.ContainsFunc(sc.Criteria, func(c Criterion) bool { return c.Name == BiasOf && !c.Pass }) {
		return ""
	}
	shift := sc.Bias.Bias.Value
	others, alike, free := 0, 0, 0
	for i := range all {
		o := &all[i]
		if o.Measurement == sc.Measurement || o.Unit != sc.Unit || o.BiasMissing != "" {
			continue
		}
		others++
		b := o.Bias.Bias
		switch {
		case b.Low <= shift && shift <= b.High:
			alike++
		case math.Abs(b.Value) < math.Abs(shift)/2:
			free++
		}
	}
	switch {
	case others == 0:
		return ""
	case free == others:
		return "; the other measurements are not affected, which points to the end points"
	case alike == others:
		return "; the other measurements are off by the same amount, which points to the zero"
	}
	return ""
}
