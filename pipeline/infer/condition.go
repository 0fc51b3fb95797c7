package infer

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Names of the derived readings.
const (
	ScaledMassIndex   = "scaledMassIndex"
	ConditionResidual = "conditionResidual"
)

// Derived is a reading that was computed for one capture.
type Derived struct {
	Capture string // ID
	Reading record.Reading
}

// body is one animal with length and mass.
type body struct {
	c            *record.Capture
	id           string
	length, mass measured
	doubt        string // why it gets no index, ""
}

// ConditionGroup is a taxon, life stage and sex with its line.
type ConditionGroup struct {
	Name    string // "Lithobates clamitans, adult, male"
	Axis    statistics.BodyAxis
	Missing string // why there is no index; then Axis is empty
	bodies  []body
}

// ConditionSummary gathers lengths and masses by group. The zero value is
// empty and ready; summaries merge in any order to the same groups.
type ConditionSummary struct{ groups map[string][]body }

// Add takes in a capture that has length and mass. doubt says why it must not
// get an index and not shape the line, or is "".
func (cs *ConditionSummary) Add(c *record.Capture, sex, doubt string, s Settings) {
	name, sure := binomial(c)
	length, ok1 := measurementOf(c, s.ConditionLength)
	mass, ok2 := massOf(c, s.ConditionMass)
	if name == "" || !ok1 || !ok2 {
		return
	}
	switch {
	case doubt != "":
	case !sure:
		doubt = "the name has a qualifier"
	case length.Doubtful || mass.Doubtful:
		doubt = "the writer doubted a reading"
	case !(length.Value > 0) || !(mass.Value > 0):
		doubt = "length or mass is not above 0"
	case strings.EqualFold(c.Get("reproductiveCondition"), "gravid"):
		doubt = "gravid: eggs add to the mass"
	case strings.EqualFold(c.Get("vitality"), "dead"):
		doubt = "dead"
	}
	key := strings.Join([]string{name, known(c.Get("lifeStage"), "stage unknown"), known(sex, "sex unknown")}, ", ")
	if cs.groups == nil {
		cs.groups = map[string][]body{}
	}
	cs.groups[key] = append(cs.groups[key], body{c: c, id: c.ID, length: length, mass: mass, doubt: doubt})
}

func known(value, otherwise string) string {
	if value == "" || value == Undetermined {
		return otherwise
	}
	return value
}

// Merge takes in what another summary gathered.
func (cs *ConditionSummary) Merge(o ConditionSummary) {
	if cs.groups == nil {
		cs.groups = map[string][]body{}
	}
	for key, bodies := range o.groups {
		cs.groups[key] = append(cs.groups[key], bodies...)
	}
}

// Groups fits each group's line, in the order of their names.
func (cs *ConditionSummary) Groups(s Settings) []ConditionGroup {
	var out []ConditionGroup
	for _, key := range slices.Sorted(maps.Keys(cs.groups)) {
		g := ConditionGroup{Name: key, bodies: slices.Clone(cs.groups[key])}
		slices.SortStableFunc(g.bodies, func(a, b body) int { return compareCaptures(a.c, b.c) })
		g.fit(s)
		out = append(out, g)
	}
	return out
}

func (g *ConditionGroup) fit(s Settings) {
	var length, mass []float64
	unit := ""
	for _, b := range g.bodies {
		if b.doubt != "" {
			continue
		}
		units := b.length.Unit + " and " + b.mass.Unit
		if unit != "" && units != unit {
			g.Missing = "units differ: " + unit + ", " + units
			return
		}
		unit = units
		length, mass = append(length, b.length.Value), append(mass, b.mass.Value)
	}
	if len(length) < max(s.ConditionLeast, 3) {
		g.Missing = fmt.Sprintf("%d captures without doubt, want %d", len(length), max(s.ConditionLeast, 3))
		return
	}
	axis, err := statistics.FitBodyAxis(length, mass, 0.95)
	if err != nil {
		g.Missing = err.Error()
		return
	}
	if axis.Correlation < s.ConditionCorrelation {
		g.Missing = fmt.Sprintf("mass hardly follows length: r = %.2f, want %.2f", axis.Correlation, s.ConditionCorrelation)
		return
	}
	g.Axis = axis
}

// Condition gives the scaled mass index (Peig and Green 2009) and the residual
// index of every capture of the group that is not in doubt, as derived
// readings with their method, and one finding for those that got none.
func (g *ConditionGroup) Condition() ([]Derived, []record.Finding) {
	var out []Derived
	reasons := map[string]int{}
	without := 0
	for _, b := range g.bodies {
		switch {
		case g.Missing != "":
			without++
		case b.doubt != "":
			without++
			reasons[b.doubt]++
		default:
			out = append(out, Derived{b.id, g.scaled(b)}, Derived{b.id, g.residual(b)})
		}
	}
	if without == 0 {
		return out, nil
	}
	why := g.Missing
	if why == "" {
		var parts []string
		for _, r := range slices.Sorted(maps.Keys(reasons)) {
			parts = append(parts, fmt.Sprintf("%s (%d)", r, reasons[r]))
		}
		why = strings.Join(parts, ", ")
	}
	return out, []record.Finding{g.declined(without, why)}
}

func (g *ConditionGroup) declined(without int, why string) record.Finding {
	first := g.bodies[0].c.Address()
	for _, b := range g.bodies {
		if a := b.c.Address(); a.Before(first) {
			first = a
		}
	}
	first.Row = 0
	f := record.Finding{Rule: "condition-declined", Level: record.Note, At: first, Field: ScaledMassIndex, Group: g.Name,
		Reason: fmt.Sprintf("no condition index for %d of %d captures: %s", without, len(g.bodies), why), Reference: "Peig and Green 2009"}
	f.Figures = figures("value", float64(without), "n", float64(len(g.bodies)))
	if g.Missing == "" {
		f.Figures = append(f.Figures, figures("centre", g.Axis.Centre, "scale", g.Axis.Scale, "statistic", g.Axis.Slope.Value)...)
	}
	return f
}

func (g *ConditionGroup) scaled(b body) record.Reading {
	v := g.Axis.ScaledMass(b.length.Value, b.mass.Value)
	relative := math.Hypot(b.mass.Standard/b.mass.Value, g.Axis.Slope.Value*b.length.Standard/b.length.Value)
	return derivedReading(ScaledMassIndex, v, max(b.mass.Decimals, 1), b.mass.Unit, 2*v*relative,
		fmt.Sprintf("scaled mass index M·(L0/L)^b of Peig and Green (2009): b = %.3f (standardised major axis), L0 = %.2f %s, n = %d (%s)",
			g.Axis.Slope.Value, g.Axis.Centre, b.length.Unit, g.Axis.N, g.Name))
}

func (g *ConditionGroup) residual(b body) record.Reading {
	v := g.Axis.Residual(b.length.Value, b.mass.Value)
	u := math.Hypot(b.mass.Standard/b.mass.Value, g.Axis.Rise*b.length.Standard/b.length.Value)
	return derivedReading(ConditionResidual, v, 3, "1", 2*u,
		fmt.Sprintf("residual of ln mass on ln length (least squares): slope %.3f, intercept %.3f, residual SD %.3f, n = %d (%s)",
			g.Axis.Rise, g.Axis.Intercept, g.Axis.Scale, g.Axis.N, g.Name))
}

func derivedReading(name string, v float64, decimals int, unit string, accuracy float64, remark string) record.Reading {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	number, err := strconv.ParseFloat(text, 64)
	if err != nil {
		number = v
	}
	return record.Reading{Measurement: name, State: record.Measured, Number: number, Decimals: decimals, Text: text,
		Unit: unit, WrittenUnit: unit, Accuracy: accuracy, Remark: remark, Derived: true}
}
