package infer

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/vocabulary"
)

// compared is what a measurement or a ratio comes to beside the thresholds of a
// rule. Sex is Undetermined where it must not be told: within the band of
// doubt, of an animal that isn't known to be grown, or from a doubted reading.
type compared struct {
	sex                string
	value              float64
	standard, expanded float64
	threshold          float64
	n                  int
	at, also           *record.Reading
	ratio              bool
	grown              growth
	size               measured
	doubtful           bool
}

// compare is false where the measurements were not taken, or make no sense.
func (r *sexRule) compare(said *clues, s *Settings) (m compared, ok bool) {
	a, ok := massOrLength(said, r.Numerator, s)
	if !ok {
		return m, false
	}
	m.value, m.n, m.at = a.Value, a.N, a.first
	relative := relativeOf(&a, s)
	m.doubtful = a.Doubtful
	if r.Denominator != "" {
		b, ok := massOrLength(said, r.Denominator, s)
		if !ok || b.Unit != a.Unit || !(b.Value > 0) {
			return m, false
		}
		m.value, m.n, m.also, m.ratio = a.Value/b.Value, a.N+b.N, b.first, true
		relative = math.Hypot(relative, relativeOf(&b, s))
		m.doubtful = m.doubtful || b.Doubtful
	}
	if !(a.Value > 0) {
		return m, false
	}
	m.standard = m.value * relative
	m.expanded = s.SexCoverage * m.standard
	m.sex = Undetermined
	m.grown, m.size = r.growthOf(said, s)
	if m.grown == grown && !m.doubtful {
		m.sex, m.threshold = r.sexOf(m.value, m.expanded)
	}
	return m, true
}

// judgeMeasured puts what the comparison comes to into words.
func (r *sexRule) judgeMeasured(said *clues, s *Settings) (Evidence, bool) {
	e := Evidence{Character: r.Character, Source: r.Source, Sex: Undetermined}
	m, ok := r.compare(said, s)
	if !ok {
		return e, false
	}
	e.Sex, e.Value, e.N, e.At, e.Standard, e.Expanded, e.Threshold = m.sex, m.value, m.n, m.at.From(), m.standard, m.expanded, m.threshold
	if m.ratio {
		e.Also = []record.Address{m.also.From()}
	}
	e.Written = fmt.Sprintf("%.2f", e.Value)
	switch {
	case m.grown != grown:
		e.Why = r.notGrown(&m)
	case m.doubtful:
		e.Why = r.Character + " is based on a reading that the writer doubted"
	case e.Sex == Undetermined:
		e.Why = fmt.Sprintf("%s %.2f ± %.2f is too close to %.2f to decide", r.Character, e.Value, e.Expanded, e.Threshold)
	}
	return e, true
}

// sexOf returns the sex and the threshold that decided, or the nearer one.
func (r *SexRule) sexOf(value, expanded float64) (string, float64) {
	upper, lower := r.MaleThreshold, r.FemaleThreshold
	above, below := Male, Female
	if r.Direction == FemaleLarger {
		upper, lower, above, below = lower, upper, below, above
	}
	switch {
	case value-expanded >= upper:
		return above, upper
	case value+expanded <= lower:
		return below, lower
	case math.Abs(value-upper) <= math.Abs(value-lower):
		return Undetermined, upper
	}
	return Undetermined, lower
}

// growth says whether the animal is known to be of the size from which a rule
// holds.
type growth uint8

const (
	grown growth = iota
	sizeUnknown
	otherUnit
	tooSmall
)

func (r *SexRule) growthOf(said *clues, s *Settings) (growth, measured) {
	if r.SizeMeasurement == "" {
		return grown, measured{}
	}
	m, ok := massOrLength(said, r.SizeMeasurement, s)
	switch {
	case !ok && said.lifeStage == "adult":
		return grown, m
	case !ok:
		return sizeUnknown, m
	case m.Unit != r.SizeUnit:
		return otherUnit, m
	case m.Value-s.SexCoverage*m.Standard < r.SizeValue:
		return tooSmall, m
	}
	return grown, m
}

// notGrown says why the animal isn't known to be of the size from which the
// rule holds.
func (r *SexRule) notGrown(m *compared) string {
	switch m.grown {
	case sizeUnknown:
		return fmt.Sprintf("neither recorded as adult nor measured: the rule applies from %s %g %s", vocabulary.Label(r.SizeMeasurement), r.SizeValue, r.SizeUnit)
	case otherUnit:
		return fmt.Sprintf("%s is in %s, the rule in %s", vocabulary.Label(r.SizeMeasurement), m.size.Unit, r.SizeUnit)
	}
	return fmt.Sprintf("%s %g %s: the rule applies from %g %s", vocabulary.Label(r.SizeMeasurement), m.size.Value, m.size.Unit, r.SizeValue, r.SizeUnit)
}

func massOrLength(said *clues, name string, s *Settings) (measured, bool) {
	if name == s.ConditionMass {
		return said.mass(name)
	}
	return said.measurement(name)
}

// relativeOf is the relative standard uncertainty, at least SexReadingError
// lessened by repeats.
func relativeOf(m *measured, s *Settings) float64 {
	return math.Max(m.Standard/math.Abs(m.Value), s.SexReadingError/math.Sqrt(float64(m.N)))
}

func sexFinding(c *record.Capture, taxon string, ind Indication, clear []Evidence, rule string, level record.Level) record.Finding {
	f := record.Finding{Rule: rule, Level: level, At: valueAddress(c, "sex"), Capture: c.Key, Field: "sex",
		Value: written(c, "sex"), Group: taxon, Suggestion: ind.Sex}
	switch rule {
	case "sex-disagrees":
		if !slices.ContainsFunc(clear, func(e Evidence) bool { return e.N == 0 }) {
			f.Suggestion = "" // no sign was seen, and measurements alone are no surer than who held the animal
		}
		f.Reason = fmt.Sprintf("recorded as %s; %s indicates %s. %s", ind.Recorded, ind.Method, ind.Sex, sexCaution)
	case "sex-filled":
		f.Reason = fmt.Sprintf("filled with %s: %s. %s", ind.Sex, ind.Method, sexCaution)
		f.Suggestion = ""
	default:
		f.Reason = fmt.Sprintf("no sex recorded; %s indicates %s. %s", ind.Method, ind.Sex, sexCaution)
	}
	for _, e := range clear {
		f.Also = append(f.Also, e.cells()...)
		if e.N > 0 && f.Figures == nil {
			f.Figures = figures("value", e.Value, "n", float64(e.N), "centre", e.Threshold, "scale", e.Standard,
				"statistic", (e.Value-e.Threshold)/e.Standard, "threshold", asked(e))
		}
	}
	return f
}

// cells are the cells that the evidence is in.
func (e Evidence) cells() []record.Address {
	return slices.DeleteFunc(append([]record.Address{e.At}, e.Also...), func(a record.Address) bool { return a.File == "" })
}

// asked is the distance in standard uncertainties that was asked for, with the
// sign of the side that the value lies on.
func asked(e Evidence) float64 { return math.Copysign(e.Expanded/e.Standard, e.Value-e.Threshold) }

func conflict(c *record.Capture, taxon string, clear []Evidence) record.Finding {
	f := record.Finding{Rule: "sex-signs-conflict", Level: record.Warning, At: clear[0].At, Capture: c.Key, Field: "sex",
		Value: clear[0].Written, Group: taxon}
	for i, e := range clear {
		if i > 0 {
			f.Reason += "; "
		}
		for _, a := range e.cells() {
			if a != f.At {
				f.Also = append(f.Also, a)
			}
		}
		f.Reason += e.String() + " indicates " + e.Sex
	}
	f.Reason += ". " + sexCaution
	return f
}
