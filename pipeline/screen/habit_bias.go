package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/statistics"
)

const (
	minByObserver    = 15     // readings
	minSessions      = 3      // per observer
	minBias          = 0.02   // relative; smaller differences do not matter in the field
	medianEfficiency = 1.2533 // standard error of a median over that of a mean, √(π/2)
	madFreedom       = 0.6    // degrees of freedom of a scale from median deviations, per value
)

// biasTest compares one observer's readings of one measurement with those of
// the others.
type biasTest struct {
	name   string
	own    *observed
	at     int // of the measurement
	effect float64
	t, nu  float64
}

// observerBias compares each observer's residuals from expectation, animal by
// animal, with those of the others on the same taxa. So that days are not
// taken for hands the unit is the session: an observer's effect is the median
// of session medians, its standard error 1.2533 times their robust standard
// deviation over √sessions, a robust stand-in for a mixed model with sessions
// at random. Tested by t at HabitRate shared between the tests.
func (b *bias) observerBias(s Settings) []record.Finding {
	b.choose(maxDeparted)
	tests := b.tests()
	var findings []record.Finding
	for _, t := range tests {
		limit := statistics.StudentQuantile(1-s.HabitRate/float64(2*len(tests)), t.nu)
		if math.Abs(t.t) > limit && math.Abs(t.effect) >= minBias {
			findings = append(findings, t.report(limit))
		}
	}
	return findings
}

func (b *bias) tests() []biasTest {
	var tests []biasTest
	lengths, masses := b.Kinds.sorted()
	for _, name := range append(lengths, masses...) {
		at := b.Kinds.find(name, 0)
		hands := b.whoTook(at)
		medians := make([][]float64, len(hands))
		for i, h := range hands {
			medians[i] = h.medians(at)
		}
		for i, h := range hands {
			n, others := 0, []float64(nil)
			for k, o := range hands {
				if k != i {
					n += o.Took[at].N
					others = append(others, medians[k]...)
				}
			}
			slices.Sort(others)
			if h.Took[at].N < minByObserver || n < minByObserver || len(medians[i]) < minSessions || len(others) < minSessions {
				continue
			}
			effect := statistics.Median(medians[i]) - statistics.Median(others)
			own, rest := float64(len(medians[i])), float64(len(others))
			se := medianEfficiency * spreadOf(medians[i], others) * math.Sqrt(1/own+1/rest)
			tests = append(tests, biasTest{name, h, at, effect, effect / se, madFreedom * (own + rest - 2)})
		}
	}
	return tests
}

// whoTook lists the observers who took a measurement, by name.
func (b *bias) whoTook(at int) []*observed {
	var out []*observed
	for _, o := range b.Observers {
		if at < len(o.Took) && o.Took[at].N > 0 {
			out = append(out, o)
		}
	}
	sorting.Func(out, func(x, y *observed) int { return strings.Compare(x.Name, y.Name) })
	return out
}

func (t *biasTest) report(limit float64) record.Finding {
	took := t.own.Took[t.at]
	side := "larger"
	if t.effect < 0 {
		side = "smaller"
	}
	return record.Finding{Rule: "observer-differs", Level: record.Note, At: took.First.At, Capture: took.First.Key,
		Field: t.name, Value: took.First.Verbatim, Group: fmt.Sprintf("%s by %s against all other observers, n = %d", label(t.name), t.own.Name, took.N),
		Figures: []record.Figure{{Name: "n", Value: float64(took.N)}, {Name: "value", Value: t.effect}, {Name: "centre", Value: 0}, {Name: "scale", Value: math.Abs(t.effect / t.t)},
			{Name: "statistic", Value: t.t}, {Name: "threshold", Value: limit}},
		Reason: fmt.Sprintf("%s by %s is %.1f %% %s than by the others on animals of the same size and kind (t %.3g, limit %.3g, by sessions). Compare how the measurement is taken.",
			label(t.name), t.own.Name, 100*math.Abs(math.Expm1(t.effect)), side, t.t, limit)}
}

// spreadOf is the robust standard deviation of session medians within two
// sets of sessions.
func spreadOf(a, b []float64) float64 {
	var dev []float64
	for _, set := range [][]float64{a, b} {
		m := statistics.Median(set)
		for _, v := range set {
			dev = append(dev, math.Abs(v-m))
		}
	}
	return max(statistics.MADScale*statistics.Median(dev), 0.002)
}
