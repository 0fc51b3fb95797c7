package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// impossibleWeighing looks at weighings whose tare is not less than the gross
// mass, so that no mass of the animal is known: where a usual slip in one of
// the two cells, or their exchange, leaves a mass that agrees with the rest of
// the animal, it is suggested.
func (j *judgement) impossibleWeighing() {
	w := j.row.capture.Weighing
	if w == nil || w.Gross == nil || w.Tare == nil || !w.Gross.Usable() || !w.Tare.Usable() ||
		w.Tare.Number < w.Gross.Number || j.row.find(bodyMass) != nil {
		return
	}
	if m := j.f.models[j.row.taxon]; m == nil || !slices.Contains(m.names, bodyMass) || j.tooLight(w) {
		return
	}
	var back []hypothesis
	var sight *view
	for _, ch := range distinct(j.f.weighingChanges(nil, w, sessionMark(j.row.capture.Session), j.row.hand, anywhere)) {
		v := j.f.view(j.withMass(ch.value), j.wrong...)
		if v == nil {
			return
		}
		if suspect, _ := v.strange(&j.f.cuts); !suspect {
			back = append(back, hypothesis{slip: ch.slip, change: &ch, score: math.Log(ch.prior) + v.likelihood(v.square, len(v.cells))})
			if sight == nil || back[len(back)-1].score > back[0].score {
				sight = v
			}
		}
	}
	if len(back) > 0 {
		if w.Gross.Text == w.Tare.Text {
			back = append(back, j.sameNumber(w, sight))
		}
		weigh(back)
		j.findings = append(j.findings, j.reportWeighing(w, sight, back))
	}
}

// sameNumber is the account that one of the two is a copy of the other, so that what
// was read is not known.
func (j *judgement) sameNumber(w *record.Weighing, v *view) hypothesis {
	i := v.at(bodyMass)
	z := v.alone(i)
	return hypothesis{slip: copiedAcross, score: math.Log(j.f.settings.Odds.Copied*v.tolerance(i)*math.Sqrt(2*math.Pi)/j.f.width(w.Gross, j.row.hand)) +
		v.likelihood(max(0, v.square-z*z), len(v.cells)-1)}
}

// withMass returns the row with a mass that nobody wrote.
func (j *judgement) withMass(net float64) *row {
	with := *j.row
	w := j.row.capture.Weighing
	r := record.Reading{Series: &record.Series{Measurement: bodyMass, Unit: w.Gross.Unit, Derived: true}, Number: net, Decimals: min(w.Tare.Decimals, w.Gross.Decimals)}
	at, _ := slices.BinarySearchFunc(with.cells, bodyMass, func(c cell, m string) int { return cmp.Compare(c.measurement, m) })
	with.cells = slices.Insert(slices.Clone(with.cells), at, cell{measurement: bodyMass, kind: mass, readings: []*record.Reading{&r}})
	with.cells[at].settle()
	j.f.takings.number(&with)
	return &with
}

func (j *judgement) reportWeighing(w *record.Weighing, v *view, back []hypothesis) record.Finding {
	copied := 0.0
	back = slices.DeleteFunc(back, func(h hypothesis) bool {
		if h.slip == copiedAcross {
			copied = h.posterior
		}
		return h.change == nil
	})
	best := back[0].change
	suggestion := ""
	if back[0].posterior >= j.f.settings.SuggestAbove {
		suggestion = best.text()
	}
	i := v.at(bodyMass)
	e := v.amongOthers(i, j.f)
	out := record.Finding{
		Rule: "weighing-slip", Level: record.Error, At: best.reading.From(), Capture: j.row.capture.Key, Field: best.reading.Measurement,
		Value: best.reading.Verbatim, Suggestion: suggestion, Group: e.group, Figures: append(e.figures(best.value), record.Figure{Name: "posterior", Value: back[0].posterior}),
		Reference: e.reference,
		Reason: fmt.Sprintf("the tare %s %s is not less than the gross mass %s %s.",
			w.Tare.Text, unitName(w.Tare.Unit), w.Gross.Text, unitName(w.Gross.Unit)),
	}
	if best.slip == grossForTare {
		out.Rule = "gross-tare-swapped"
	}
	other := w.Tare
	if best.reading == w.Tare {
		other = w.Gross
	}
	out.Also = []record.Address{other.From()}
	if best.slip == grossForTare {
		exchange(&out, w.Gross, w.Tare)
		out.Also = []record.Address{other.From()}
	}
	for n, h := range back[:min(len(back), 3)] {
		if n > 0 && h.posterior < 0.02 {
			break
		}
		start := " "
		if n > 0 {
			start = " Also possible: "
		}
		out.Reason += fmt.Sprintf("%s%s leaves %s g, which fits the rest of the animal: %s (probability %s).",
			start, h.change.text(), figures(h.change.value, 3), j.f.story(h, v), percent(h.posterior))
	}
	switch {
	case copied > back[0].posterior:
		out.Reason += fmt.Sprintf(" Or the two numbers are the same because one was copied (probability %s).", percent(copied))
	case suggestion == "":
		out.Reason += " None is certain enough to suggest."
	}
	return out
}

// minShown is the number of steps of a scale that an animal must weigh to be
// told from nothing.
const minShown = 4

// tooLight reports whether the animal is hardly heavier than what the scale can
// tell from nothing, so that gross and tare may well come out alike.
func (j *judgement) tooLight(w *record.Weighing) bool {
	observer := j.row.hand
	steps := math.Hypot(j.f.width(w.Gross, observer)*w.Gross.Number, j.f.width(w.Tare, observer)*w.Tare.Number)
	if w.Tare.Number-w.Gross.Number > steps {
		return false
	}
	v := j.f.view(j.withMass(steps), j.wrong...)
	if v == nil {
		return false
	}
	at := v.at(bodyMass)
	return at >= 0 && v.expected(at) < math.Log(minShown*steps)
}
