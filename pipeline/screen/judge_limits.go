package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// holdsFor reports whether a limit is meant for this capture.
func (l *Limit) holdsFor(r *row) bool {
	return strings.EqualFold(l.ScientificName, r.species) &&
		(l.Sex == "" || strings.EqualFold(l.Sex, r.sex)) &&
		(l.LifeStage == "" || strings.EqualFold(l.LifeStage, r.stage))
}

// limitTable is the user's limits by measurement.
type limitTable struct {
	by  map[string][]Limit
	all []Limit
}

func tableOf(limits []Limit) limitTable {
	t := limitTable{by: map[string][]Limit{}, all: limits}
	for _, l := range limits {
		t.by[l.Measurement] = append(t.by[l.Measurement], l)
	}
	return t
}

// about reports whether there are limits for a taxon.
func (t limitTable) about(taxon string) bool {
	return slices.ContainsFunc(t.all, func(l Limit) bool { return strings.EqualFold(l.ScientificName, taxon) })
}

// within reports whether a value keeps a limit.
func (l *Limit) within(v float64) bool {
	return (l.Minimum == nil || v >= *l.Minimum) && (l.Maximum == nil || v <= *l.Maximum)
}

// in returns the limit in another unit; false where that cannot be.
func (l *Limit) in(unit string) (Limit, bool) {
	out := *l
	if l.Unit == unit {
		return out, true
	}
	if dimensionOf(l.Unit) == neither || dimensionOf(l.Unit) != dimensionOf(unit) {
		return out, false
	}
	out.Unit = unit
	by := sizes[l.Unit] / sizes[unit]
	for _, end := range []**float64{&out.Minimum, &out.Maximum} {
		if *end != nil {
			v := **end * by
			*end = &v
		}
	}
	return out, true
}

func (l *Limit) rangeText() string {
	unit := unitName(l.Unit)
	switch {
	case l.Minimum == nil:
		return fmt.Sprintf("at most %g %s", *l.Maximum, unit)
	case l.Maximum == nil:
		return fmt.Sprintf("at least %g %s", *l.Minimum, unit)
	}
	return fmt.Sprintf("%g to %g %s", *l.Minimum, *l.Maximum, unit)
}

// limits compares every usable reading of one animal with the limits for it. A cell
// that was found wrong already is not reported again: the limit is added to
// the reason there.
func (j *judgement) limits(table limitTable) {
	if len(table.all) == 0 {
		return
	}
	c := j.row.capture
	if c.Several() {
		return
	}
	for i := range c.Readings {
		r := &c.Readings[i]
		if !r.Usable() || j.explained.has(r.From()) {
			continue
		}
		limits := table.by[r.Measurement]
		for k := range limits {
			if !limits[k].holdsFor(j.row) {
				continue
			}
			if l, ok := limits[k].in(r.Unit); ok && !l.within(r.Number) {
				j.outside(r, &l)
				break
			}
		}
	}
}

func (j *judgement) outside(r *record.Reading, l *Limit) {
	level := record.Warning
	if l.Level != "" {
		_ = level.UnmarshalText([]byte(l.Level)) // ReadLimits has seen to it
	}
	text := fmt.Sprintf("%s %s %s is outside the limits for %s, %s", label(r.Measurement), r.Text, unitName(r.Unit), l.ScientificName, l.rangeText())
	if l.Source != "" {
		text += " (" + l.Source + ")"
	}
	why, explained := explaining(remarksOf(j.row.capture), r.Measurement, l.off(r.Number))
	if explained {
		level = record.Note
	}
	for i := range j.findings {
		if f := &j.findings[i]; f.Field == r.Measurement && f.Rule != "value-extreme" {
			f.Reason += " " + strings.ToUpper(text[:1]) + text[1:] + "."
			f.Level = max(f.Level, level)
			return
		}
	}
	j.findings = slices.DeleteFunc(j.findings, func(f record.Finding) bool {
		return f.Field == r.Measurement && f.Rule == "value-extreme"
	})
	out := record.Finding{
		Rule: "outside-limits", Level: level, At: r.From(), Capture: j.row.capture.Key, Field: r.Measurement, Value: r.Verbatim,
		Group: "limits for " + l.ScientificName + limitPart(l.LifeStage) + limitPart(l.Sex), Reference: l.Source,
		Figures: []record.Figure{{Name: "value", Value: r.Number}},
		Reason:  text + ".",
	}
	if l.Minimum != nil {
		out.Figures = append(out.Figures, record.Figure{Name: "minimum", Value: *l.Minimum})
	}
	if l.Maximum != nil {
		out.Figures = append(out.Figures, record.Figure{Name: "maximum", Value: *l.Maximum})
	}
	if explained {
		why.quiet(&out)
	} else if ref := j.row.find(r.Measurement); ref != nil {
		j.intoLimits(&out, ref, l)
	}
	j.findings = append(j.findings, out)
}

func limitPart(s string) string {
	if s == "" {
		return ""
	}
	return ", " + s
}

// pastLimit is how far beyond its limits a value lies that is right all the same,
// as a relative standard deviation.
const pastLimit = 0.1

// intoLimits weighs the usual slips that bring a value into its limits without making
// the animal strange, against the value being right or wrong in some other way: by what
// is expected of the animal or, where nothing is, as if all values within the limits
// were equally likely.
func (j *judgement) intoLimits(out *record.Finding, c *cell, l *Limit) {
	odds := j.f.settings.Odds
	list := []hypothesis{{slip: unexplained, score: odds.anywhere()}, {slip: nothingWrong, score: math.Log(odds.Size) + normal(l.beyond(c.value), pastLimit)}}
	within := -math.Log(l.width())
	v := j.f.view(j.row)
	at := -1
	if v != nil {
		at = slices.Index(v.cells, c)
	}
	for _, ch := range j.f.changes(j.row, c, j.sum.usualDecimals(c.measurement)) {
		if !l.within(ch.value) || !j.fits(c, ch.value) {
			continue
		}
		h := hypothesis{slip: ch.slip, change: &ch, score: math.Log(ch.prior) + within}
		if at >= 0 {
			h.score = math.Log(ch.prior) + normal(v.alone(at)+(math.Log(ch.value)-c.log)/v.tolerance(at), 1) - math.Log(v.tolerance(at))
		}
		list = append(list, h)
	}
	j.f.offer(out, list, c.kind, "lies within")
}

// beyond is how far outside the limits a value lies, on the log scale.
func (l *Limit) beyond(value float64) float64 { return math.Abs(l.off(value)) }

// off is beyond, negative below the minimum.
func (l *Limit) off(value float64) float64 {
	if l.Maximum != nil && value > *l.Maximum {
		return math.Log(value / *l.Maximum)
	}
	return math.Log(value / *l.Minimum)
}

// width is how far apart the limits are on the log scale; a limit that is not
// given is a third or the threefold.
func (l *Limit) width() float64 {
	if l.Minimum == nil || l.Maximum == nil || !(*l.Minimum > 0) {
		return math.Log(3)
	}
	return math.Log(*l.Maximum / *l.Minimum)
}

// fits reports whether a cell with another value would agree with the rest of
// the animal; true where there is nothing to compare it with.
func (j *judgement) fits(c *cell, value float64) bool {
	was := *c
	defer func() { *c = was }()
	c.become(value, &was)
	v := j.f.view(j.row, slices.DeleteFunc(slices.Clone(j.wrong), func(w *cell) bool { return w == c })...)
	if v == nil {
		return true
	}
	suspect, _ := v.strange(&j.f.cuts)
	return !suspect
}
