package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const (
	leastByObserver  = 15     // readings
	leastSessions    = 3      // per observer
	leastBias        = 0.02   // relative; smaller differences do not matter in the field
	medianEfficiency = 1.2533 // standard error of a median over that of a mean, √(π/2)
	madFreedom       = 0.6    // degrees of freedom of a scale from median deviations, per value
)

// departure is one animal's measurement against what the rest of the animal
// lets expect, with who took it and in which session.
type departure struct {
	observer, session string
	value             float64 // of the log
	reading           *record.Reading
	key               string
}

// observerBias compares each observer's departures from expectation, animal by
// animal, with those of the others on the same taxa. So that days are not
// taken for hands the unit is the session: an observer's effect is the median
// of session medians, its standard error 1.2533 times their robust standard
// deviation over √sessions, a robust stand-in for a mixed model with sessions
// at random. Tested by t at HabitRate shared between the tests.
func observerBias(j *search) []record.Finding {
	lengths, masses := j.measurements()
	type test struct {
		name     string
		observer string
		own      []departure
		effect   float64
		t, nu    float64
	}
	var tests []test
	for _, name := range append(lengths, masses...) {
		hands := byObserver(j.departuresOf(name))
		for i, h := range hands {
			n, others := 0, []float64(nil)
			for k, o := range hands {
				if k != i {
					n += len(o.departures)
					others = append(others, o.medians...)
				}
			}
			slices.Sort(others)
			if len(h.departures) < leastByObserver || n < leastByObserver || len(h.medians) < leastSessions || len(others) < leastSessions {
				continue
			}
			effect := statistics.Median(h.medians) - statistics.Median(others)
			a, b := float64(len(h.medians)), float64(len(others))
			se := medianEfficiency * spreadOf(h.medians, others) * math.Sqrt(1/a+1/b)
			tests = append(tests, test{name, h.observer, h.departures, effect, effect / se, madFreedom * (a + b - 2)})
		}
	}
	var findings []record.Finding
	for _, t := range tests {
		limit := distuv.StudentsT{Sigma: 1, Nu: t.nu}.Quantile(1 - j.f.settings.HabitRate/float64(2*len(tests)))
		if math.Abs(t.t) <= limit || math.Abs(t.effect) < leastBias {
			continue
		}
		first := t.own[0]
		side := "larger"
		if t.effect < 0 {
			side = "smaller"
		}
		findings = append(findings, record.Finding{Rule: "observer-differs", Level: record.Note, At: first.reading.From, Capture: first.key,
			Field: t.name, Value: first.reading.Verbatim, Group: fmt.Sprintf("%s by %s against all other observers, n = %d", label(t.name), t.observer, len(t.own)),
			Figures: []record.Figure{{Name: "n", Value: float64(len(t.own))}, {Name: "value", Value: t.effect}, {Name: "centre", Value: 0}, {Name: "scale", Value: math.Abs(t.effect / t.t)},
				{Name: "statistic", Value: t.t}, {Name: "threshold", Value: limit}},
			Reason: fmt.Sprintf("%s by %s is %.1f %% %s than by the others on animals of the same size and kind (t %.3g against %.3g, by sessions). Compare how the measurement is taken.",
				label(t.name), t.observer, 100*math.Abs(math.Expm1(t.effect)), side, t.t, limit)})
	}
	return findings
}

// departuresOf gathers a measurement's departures in the order of rows.
func (j *search) departuresOf(name string) []departure {
	var all []departure
	for i, r := range j.rows {
		v := j.sights[i].view
		observer := r.capture.Get("recordedBy")
		if v == nil || observer == "" || len(v.cells) < 2 {
			continue
		}
		at := v.at(name)
		if at < 0 {
			continue
		}
		c := v.cells[at]
		all = append(all, departure{observer, r.capture.Get("eventDate") + " " + r.capture.Session, c.log - v.expected(at), c.first(), r.capture.Key})
	}
	return all
}

// observed is what one observer's departures come to.
type observed struct {
	observer   string
	departures []departure
	medians    []float64 // of sessions of three or more, ascending
}

func byObserver(all []departure) []observed {
	found := map[string]*observed{}
	sessions := map[[2]string][]float64{}
	for _, d := range all {
		if found[d.observer] == nil {
			found[d.observer] = &observed{observer: d.observer}
		}
		found[d.observer].departures = append(found[d.observer].departures, d)
		key := [2]string{d.observer, d.session}
		sessions[key] = append(sessions[key], d.value)
	}
	for key, v := range sessions {
		if len(v) >= 3 {
			found[key[0]].medians = append(found[key[0]].medians, statistics.Median(v))
		}
	}
	out := make([]observed, 0, len(found))
	for _, o := range found {
		slices.Sort(o.medians)
		out = append(out, *o)
	}
	slices.SortFunc(out, func(a, b observed) int { return strings.Compare(a.observer, b.observer) })
	return out
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
