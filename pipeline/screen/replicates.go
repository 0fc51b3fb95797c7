package screen

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// fewReplicates is the ratio from which replicates disagree where the survey
// has too few to know how well it repeats itself (common practice).
const fewReplicates = 1.15

// agreement is how far two readings of one measurement may lie apart.
type agreement struct {
	n      int
	scale  float64 // robust standard deviation of the log ratio
	limit  float64 // least log ratio that disagrees, resolution apart
	cut    float64
	stated string
}

// agreements are those of every measurement of a survey.
func agreements(sum *Summary, s Settings) map[string]agreement {
	all := map[string]agreement{}
	for name, m := range sum.measurements {
		all[name] = agreementOf(&m.pairs, s)
	}
	return all
}

// agreementOf is how well a survey repeats itself in one measurement.
func agreementOf(pairs *statistics.Sample, s Settings) agreement {
	a := agreement{n: pairs.Len(), limit: math.Log(fewReplicates), cut: s.ReplicateCut}
	a.stated = "the usual 15 %"
	if a.n >= s.MinGroup {
		a.scale = max(statistics.MADScale*pairs.Median(), s.MinScale)
		a.cut *= widening(0.37*float64(a.n), s.TailFreedom)
		a.limit = a.cut * a.scale
		a.stated = fmt.Sprintf("%.3g robust standard deviations of the survey's own replicates", a.cut)
	}
	return a
}

// logRatio returns the log ratio of two readings and how far it may go.
func (a agreement) logRatio(x, y *record.Reading) (d, limit float64) {
	d = math.Abs(math.Log(x.Number / y.Number))
	return d, max(a.limit, a.cut*math.Hypot(readable(x)/x.Number, readable(y)/y.Number))
}

// replicates judges the repeated readings of each measurement against each
// other. A reading that disagrees is reported and left out of its cell.
func (j *judgement) replicates() {
	for i := range j.row.cells {
		c := &j.row.cells[i]
		for len(c.readings) > 1 {
			odd := j.odd(c)
			if odd < 0 {
				break
			}
			c.readings = slices.Delete(c.readings, odd, odd+1)
			c.settle()
		}
	}
}

// odd reports the reading of a cell that disagrees most with the others, and
// gives its index; -1 where all agree.
func (j *judgement) odd(c *cell) int {
	a := j.f.agreement[c.measurement]
	worst, excess := -1, 1.0
	middle := medianOfOthers(c, -1)
	for i := range c.readings {
		d, limit := a.logRatio(c.readings[i], middle)
		if d/limit > excess*1.0001 {
			worst, excess = i, d/limit
		}
	}
	if worst < 0 {
		return -1
	}
	sure := true
	if len(c.readings) == 2 {
		worst, sure = j.worseOfTwo(c)
	}
	j.findings = append(j.findings, j.reportReplicate(c, worst, a, sure))
	return worst
}

// medianOfOthers returns the median reading of a cell without reading i, the
// lower of two.
func medianOfOthers(c *cell, i int) *record.Reading {
	rest := make([]*record.Reading, 0, len(c.readings))
	for k, r := range c.readings {
		if k != i {
			rest = append(rest, r)
		}
	}
	slices.SortStableFunc(rest, func(a, b *record.Reading) int { return cmp.Compare(a.Number, b.Number) })
	return rest[(len(rest)-1)/2]
}

// worseOfTwo asks the rest of the animal which of two readings is wrong. Where
// it does not show, the second is reported and sure is false.
func (j *judgement) worseOfTwo(c *cell) (worse int, sure bool) {
	keep := c.readings
	defer func() { c.readings = keep; c.settle() }()
	var off [2]float64
	for k := range off {
		c.readings = keep[k : k+1]
		c.settle()
		v := j.f.view(j.row)
		if v == nil || !slices.Contains(v.cells, c) {
			return 1, false
		}
		off[k] = math.Abs(v.alone(slices.Index(v.cells, c)))
	}
	worse = 1
	if off[0] > off[1] {
		worse = 0
	}
	return worse, max(off[0], off[1]) > j.f.settings.ModifiedZ
}

func (j *judgement) reportReplicate(c *cell, odd int, a agreement, sure bool) record.Finding {
	r := c.readings[odd]
	other := medianOfOthers(c, odd)
	d, limit := a.logRatio(r, other)
	out := record.Finding{
		Rule: "replicates-differ", Level: record.Warning, At: r.From(), Capture: j.row.capture.Key,
		Field: c.measurement, Value: r.Verbatim, Group: fmt.Sprintf("replicates of %s, pairs n = %d", label(c.measurement), a.n),
		Figures: []record.Figure{
			{Name: "value", Value: r.Number}, {Name: "n", Value: float64(a.n)}, {Name: "centre", Value: other.Number},
			{Name: "scale", Value: a.scale}, {Name: "statistic", Value: d}, {Name: "threshold", Value: limit},
		},
	}
	for k, o := range c.readings {
		if k != odd {
			out.Also = append(out.Also, o.From())
		}
	}
	out.Reason = fmt.Sprintf("%s was read as %s and as %s: %.0f %% apart, more than %s.", label(c.measurement),
		sidedText(r), sidedText(other), 100*math.Expm1(d), a.stated)
	list := j.backTo(c, r, other, a)
	if !sure {
		out.Reason += " The animal's other measurements do not show which of the two is wrong."
		list = append(list, j.backTo(c, other, r, a)...)
	}
	j.f.offer(&out, list, c.kind, "would agree")
	return out
}

// sidedText is what was read, and on which side.
func sidedText(r *record.Reading) string {
	text := r.Text + " " + unitName(r.Unit)
	if r.Side != "" {
		text += " on the " + r.Side
	}
	return text
}

// backTo lists the accounts of a reading that disagrees with another: the usual
// slips that make it agree, and that it is wrong otherwise.
func (j *judgement) backTo(c *cell, r, other *record.Reading, a agreement) []hypothesis {
	list := []hypothesis{{slip: unexplained, score: j.f.settings.Odds.anywhere()}}
	for _, ch := range distinct(j.f.plainChanges(nil, r, c.kind, j.sum.usualDecimals(c.measurement), anywhere)) {
		fixed := *r
		fixed.Number = ch.value
		if d, limit := a.logRatio(&fixed, other); d <= limit {
			list = append(list, hypothesis{slip: ch.slip, change: &ch, score: math.Log(ch.prior) + normal(d, limit/a.cut)})
		}
	}
	return list
}
