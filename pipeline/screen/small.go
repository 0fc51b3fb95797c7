package screen

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

const (
	minForESD = 5     // values
	smallRate = 0.001 // chance of a false outlier per sample
	paperESD  = "Rosner 1983"
)

// outlierOf is a log value that the generalised ESD test takes out of a small
// sample, with its step and where the rest lies.
type outlierOf struct {
	log, centre, scale float64
	n                  int
	step               statistics.ESDStep
}

// fitSmall tests every measurement of which a taxon has at least five but
// fewer than MinGroup values by the generalised ESD test, which for a single
// outlier is Grubbs' test.
func fitSmall(t *taxonSummary, s Settings) map[string][]outlierOf {
	found := map[string][]outlierOf{}
	for name, sample := range t.pooled() {
		if n := sample.Len(); n < minForESD || n >= s.MinGroup {
			continue
		}
		values := sample.Values()
		steps, k, err := statistics.GeneralisedESD(values, max(1, len(values)/4), smallRate)
		if err != nil || k == 0 {
			continue
		}
		out := map[int]bool{}
		for _, st := range steps[:k] {
			out[st.Index] = true
		}
		var rest []float64
		for i, v := range values {
			if !out[i] {
				rest = append(rest, v)
			}
		}
		centre := statistics.Median(rest)
		scale := max(statistics.MADScale*statistics.RawMAD(rest), s.MinScale)
		for _, st := range steps[:k] {
			found[name] = append(found[name], outlierOf{values[st.Index], centre, scale, len(values), st})
		}
	}
	return found
}

// smallOutliers reports values that are outliers of a small sample: as a
// warning where a gross slip brings them back, else as a note, for one young
// animal among a few adults is an outlier too.
func (j *judgement) smallOutliers() {
	small := j.f.small[j.row.taxon]
	for i := range j.row.cells {
		c := &j.row.cells[i]
		for _, o := range small[c.measurement] {
			if o.log == c.log && !j.blamed(c) {
				j.findings = append(j.findings, j.reportSmall(c, o))
				j.wrong = append(j.wrong, c)
				break
			}
		}
	}
}

// blamed reports whether a cell was found wrong, or is explained.
func (j *judgement) blamed(c *cell) bool { return slices.Contains(j.wrong, c) || j.isExplained(c) }

func (j *judgement) reportSmall(c *cell, o outlierOf) record.Finding {
	r := c.first()
	out := record.Finding{Rule: "value-far", Level: record.Note, At: r.From(), Capture: j.row.capture.Key, Field: c.measurement, Value: r.Verbatim,
		Group:     fmt.Sprintf("%s, all stages and sexes, n = %d (fewer than %d)", j.row.taxon, o.n, j.f.settings.MinGroup),
		Reference: paperESD,
		Figures: []record.Figure{{Name: "value", Value: c.value}, {Name: "n", Value: float64(o.n)}, {Name: "centre", Value: math.Exp(o.centre)},
			{Name: "scale", Value: o.scale}, {Name: "statistic", Value: o.step.Statistic}, {Name: "threshold", Value: o.step.Critical}},
		Reason: fmt.Sprintf("%s %s %s is an outlier among the few animals of its taxon: extreme Studentised deviate %.3g (limit %.3g); the others are about %s.",
			label(c.measurement), r.Text, unitName(r.Unit), o.step.Statistic, o.step.Critical, figures(math.Exp(o.centre), 3)+" "+unitName(r.Unit)),
	}
	if j.smallAnimal(c, c.log-o.centre) {
		return out
	}
	if r, ok := explaining(remarksOf(j.row.capture), c.measurement, c.log-o.centre); ok {
		r.quiet(&out)
		return out
	}
	odds, scale := j.f.settings.Odds, math.Hypot(o.scale, fewSpread)
	list := []hypothesis{{slip: unexplained, score: odds.anywhere()}, {slip: sizeUnusual, score: math.Log(odds.Size) + normal(c.log-o.centre, anySize)}}
	for _, ch := range j.f.changes(j.row, c, j.sum.usualDecimals(c.measurement)) {
		if off := math.Log(ch.value) - o.centre; math.Abs(off) <= 0.5 {
			list = append(list, hypothesis{slip: ch.slip, change: &ch, score: math.Log(ch.prior) + normal(off, scale)})
			if gross[ch.slip] {
				out.Level = record.Warning
			}
		}
	}
	if out.Level == record.Warning {
		j.f.offer(&out, list, c.kind, "would fit")
	}
	return out
}

// fewSpread is what is added to the scatter of a few animals, on the log scale:
// others of their kind lie farther apart.
const fewSpread = 0.15

// alikeBy is how far, on the log scale, the residuals of two measurements of
// one animal from the middle of its taxon may lie apart if it is large or small
// as a whole.
const alikeBy = 0.7

// smallAnimal reports whether the rest of the animal departs from the middle of
// its taxon as one cell does: young, or large, and not a slip. A mass goes as
// the cube of a length.
func (j *judgement) smallAnimal(c *cell, residual float64) bool {
	if c.kind == mass {
		residual /= 3
	}
	var rest []float64
	for i := range j.row.cells {
		o := &j.row.cells[i]
		centre, ok := j.f.middles[j.row.taxon][o.measurement]
		if o == c || !ok {
			continue
		}
		d := o.log - centre
		if o.kind == mass {
			d /= 3
		}
		rest = append(rest, d)
	}
	return len(rest) > 0 && math.Abs(statistics.Median(rest)-residual) < alikeBy*min(1, math.Abs(residual))
}
