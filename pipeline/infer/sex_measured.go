package infer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// judgeMeasured compares a measurement or a ratio with the thresholds.
func (r *SexRule) judgeMeasured(c *record.Capture, s Settings) (Evidence, bool) {
	e := Evidence{Character: r.Character, Source: r.Source, Sex: Undetermined}
	a, ok := massOrLength(c, r.Numerator, s)
	if !ok {
		return e, false
	}
	e.Value, e.N, e.At = a.Value, a.N, a.From
	relative := relativeOf(a, s)
	doubtful := a.Doubtful
	if r.Denominator != "" {
		b, ok := massOrLength(c, r.Denominator, s)
		if !ok || b.Unit != a.Unit || !(b.Value > 0) {
			return e, false
		}
		e.Value, e.N, e.Also = a.Value/b.Value, a.N+b.N, []record.Address{b.From}
		relative = math.Hypot(relative, relativeOf(b, s))
		doubtful = doubtful || b.Doubtful
	}
	if !(a.Value > 0) {
		return e, false
	}
	e.Standard = e.Value * relative
	e.Expanded = s.SexCoverage * e.Standard
	e.Written = fmt.Sprintf("%.2f", e.Value)
	if why := r.notGrown(c, s); why != "" {
		e.Why = why
		return e, true
	}
	if doubtful {
		e.Why = r.Character + " rests on a reading that the writer doubted"
		return e, true
	}
	e.Sex, e.Threshold = r.sexOf(e.Value, e.Expanded)
	if e.Sex == Undetermined {
		e.Why = fmt.Sprintf("%s %.2f ± %.2f lies in the band of doubt around %.2f", r.Character, e.Value, e.Expanded, e.Threshold)
	}
	return e, true
}

// sexOf gives the sex and the threshold that decided, or the nearer one.
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

// notGrown says why the animal isn't known to be of the size from which the
// rule holds, or "".
func (r *SexRule) notGrown(c *record.Capture, s Settings) string {
	if r.SizeMeasurement == "" {
		return ""
	}
	m, ok := massOrLength(c, r.SizeMeasurement, s)
	if !ok {
		if c.Get("lifeStage") == "adult" {
			return ""
		}
		return fmt.Sprintf("neither adult by record nor measured: the rule holds from %s %g %s", plain(r.SizeMeasurement), r.SizeValue, r.SizeUnit)
	}
	if m.Unit != r.SizeUnit {
		return fmt.Sprintf("%s is in %s, the rule in %s", plain(r.SizeMeasurement), m.Unit, r.SizeUnit)
	}
	if m.Value-s.SexCoverage*m.Standard < r.SizeValue {
		return fmt.Sprintf("%s %g %s: the rule holds from %g %s", plain(r.SizeMeasurement), m.Value, m.Unit, r.SizeValue, r.SizeUnit)
	}
	return ""
}

func massOrLength(c *record.Capture, name string, s Settings) (measured, bool) {
	if name == s.ConditionMass {
		return massOf(c, name)
	}
	return measurementOf(c, name)
}

// relativeOf is the relative standard uncertainty, at least SexReadingError
// lessened by repeats.
func relativeOf(m measured, s Settings) float64 {
	return math.Max(m.Standard/math.Abs(m.Value), s.SexReadingError/math.Sqrt(float64(m.N)))
}

func sexFinding(c *record.Capture, ind Indication, clear []Evidence, rule string, level record.Level) record.Finding {
	name, _ := binomial(c)
	f := record.Finding{Rule: rule, Level: level, At: valueAddress(c, "sex"), Capture: c.Key, Field: "sex",
		Value: written(c, "sex"), Group: cmp.Or(name, c.Get("scientificName")), Suggestion: ind.Sex}
	switch rule {
	case "sex-disagrees":
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

// cells are the cells that the evidence stands in.
func (e Evidence) cells() []record.Address {
	return slices.DeleteFunc(append([]record.Address{e.At}, e.Also...), func(a record.Address) bool { return a.File == "" })
}

// asked is the distance in standard uncertainties that was asked for, with the
// sign of the side that the value lies on.
func asked(e Evidence) float64 { return math.Copysign(e.Expanded/e.Standard, e.Value-e.Threshold) }

func conflict(c *record.Capture, clear []Evidence) record.Finding {
	name, _ := binomial(c)
	f := record.Finding{Rule: "sex-signs-conflict", Level: record.Warning, At: clear[0].At, Capture: c.Key, Field: "sex",
		Value: clear[0].Written, Group: cmp.Or(name, c.Get("scientificName"))}
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
