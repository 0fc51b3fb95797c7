package screen

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// maxSlips is how many cells of one capture may be found wrong one after
// another.
const maxSlips = 3

// Judge returns the findings on one capture against a summary of its survey and
// the user's limits: values that their group, their line or the other
// measurements of the animal do not bear out, replicates that disagree, and
// values outside limits. A cell is reported once. It does not change c, and
// may be called from several goroutines for one summary.
func Judge(c *record.Capture, sum *Summary, limits []Limit, s Settings) []record.Finding {
	j := judgement{f: sum.fitFor(s), sum: sum, row: rowOf(c)}
	j.f.resolve(j.row)
	j.replicates()
	j.rest(tableOf(limits))
	return j.findings
}

// fitFor returns the fit of a summary, judged by these thresholds.
func (s *Summary) fitFor(with Settings) *fitted {
	f := s.fit()
	if f.settings == with {
		return f
	}
	g := *f
	g.settings, g.cuts, g.agreement = with, cutsFor(f.captures, with), agreements(s, with)
	return &g
}

// judgement is the work on one capture.
type judgement struct {
	f         *fitted
	sum       *Summary
	row       *row
	sight     *sight                  // of the whole row, where there is one
	wrong     []*cell                 // blamed so far
	explained *cellSet                // cells that a shared cause explains
	untared   map[record.Address]bool // masses that probably have the bag in
	findings  []record.Finding
}

// rest judges what is left once the replicates of each cell agree.
func (j *judgement) rest(limits limitTable) {
	j.slips()
	j.judgeScarce()
	j.impossibleWeighing()
	j.smallOutliers()
	j.farButFitting()
	j.limits(limits)
}

// slips looks for wrong cells, one after another.
func (j *judgement) slips() {
	for n := range maxSlips {
		v, d, level, ok := j.verdict(j.wrong)
		if ok && n == 0 {
			if j.heed(v, d); len(j.wrong) > 0 {
				v, d, level, ok = j.verdict(j.wrong)
			}
		}
		if !ok {
			return
		}
		if d.both {
			// Each of the two is judged with the other left out.
			first, second := v.cells[d.cells[0]], v.cells[d.cells[1]]
			a := j.reportWithout(second)
			b := j.reportWithout(first)
			if !a && !b {
				return
			}
			j.wrong = append(j.wrong, first, second)
			continue
		}
		j.reportVerdict(d, level)
		if len(d.cells) == 0 {
			j.wrong = append(j.wrong, v.cells...)
			return
		}
		for _, i := range d.cells {
			j.wrong = append(j.wrong, v.cells[i])
		}
	}
}

// judgeScarce judges measurements that the model of the taxon does not know, or expects
// less closely than that of all taxa does: too few animals have them.
func (j *judgement) judgeScarce() {
	if !j.row.model.ofTaxon() {
		return // the model of all taxa judged them
	}
	own := j.sightWithout(j.wrong)
	closer := func(c *cell, tolerance float64) bool {
		at := -1
		if own != nil {
			at = slices.Index(own.cells, c)
		}
		return at < 0 || own.tolerance(at) > tolerance
	}
	may := false
	for i := range j.row.cells {
		c := &j.row.cells[i]
		may = may || !slices.Contains(j.wrong, c) && closer(c, commonLength)
	}
	if !may {
		return
	}
	v := j.f.viewBy(j.f.common(), new(viewBuffers), j.row, j.wrong)
	if v == nil {
		return
	}
	if suspect, _ := v.strange(&j.f.cuts); !suspect {
		return
	}
	d, ok := j.f.decide(v, j.f.explain(v, j.sum.usualDecimals))
	if !ok || !grossOnly(d) {
		return
	}
	if slices.ContainsFunc(d.cells, func(i int) bool { return closer(v.cells[i], v.tolerance(i)) }) {
		j.reportVerdict(d, record.Warning)
		for _, i := range d.cells {
			j.wrong = append(j.wrong, v.cells[i])
		}
	}
}

// sightWithout is the view of the row without some of its cells.
func (j *judgement) sightWithout(wrong []*cell) *view {
	if len(wrong) == 0 {
		return j.whole()
	}
	return j.f.view(j.row, wrong...)
}

// reportVerdict reports a verdict, unless the cell is one that a shared cause explains.
func (j *judgement) reportVerdict(d verdict, level record.Level) {
	for _, i := range d.cells {
		if j.isExplained(d.view.cells[i]) {
			return
		}
	}
	j.findings = append(j.findings, j.f.report(d, level))
}

// isExplained reports whether a cause of many explains a cell.
func (j *judgement) isExplained(c *cell) bool {
	return c.explained || len(j.untared) > 0 && j.untared[c.first().From()]
}

// verdict judges the row without some of its cells; ok is false where nothing
// is wrong with the rest.
func (j *judgement) verdict(without []*cell) (v *view, d verdict, level record.Level, ok bool) {
	suspect, sure := false, false
	if j.sight != nil && len(without) == 0 {
		v, suspect, sure = j.sight.own, j.sight.suspect, j.sight.sure
	} else if v = j.f.view(j.row, without...); v != nil {
		suspect, sure = v.strange(&j.f.cuts)
	}
	if v == nil || !suspect && !j.f.bagLikely(v) {
		return
	}
	list := j.f.explain(v, j.sum.usualDecimals)
	if d, ok = j.f.decide(v, list); !ok {
		return
	}
	if v.model.common && !grossOnly(d) {
		return v, d, level, false
	}
	d.sure, level = sure && !v.model.common, record.Warning
	if !sure && (d.explained() < 0.5 || len(v.cells) == 1 && !d.grossly()) {
		return v, d, level, false // by chance, or an animal of another size that nothing else was measured of
	}
	if j.f.severe(d, list) {
		level = record.Error
	}
	return
}

// explained is the share of the verdict that the usual slips of its cells have.
func (d *verdict) explained() float64 {
	sum := 0.0
	for i := range d.accounts {
		sum += d.accounts[i].posterior
	}
	return sum
}

// grossly reports whether gross slips are the likeliest accounts by far.
func (d *verdict) grossly() bool {
	sum := 0.0
	for i := range d.accounts {
		if gross[d.accounts[i].slip] {
			sum += d.accounts[i].posterior
		}
	}
	return sum > 0.5
}

// reportWithout reports what is wrong with the row when one more cell is left
// out.
func (j *judgement) reportWithout(c *cell) bool {
	_, d, level, ok := j.verdict(append(slices.Clone(j.wrong), c))
	if ok {
		j.reportVerdict(d, level)
	}
	return ok
}

// whole is the view of the whole row.
func (j *judgement) whole() *view {
	if j.sight != nil {
		return j.sight.own
	}
	return j.f.view(j.row)
}

// farButFitting notes values far from their group that agree with the rest of
// the animal: large or small, but not likely wrong. A young animal among adults
// is no news, so groups that had to be pooled are left out.
func (j *judgement) farButFitting() {
	v := j.whole()
	if v == nil || v.model.common {
		return
	}
	for i, c := range v.cells {
		p := &v.stature.places[v.index[i]]
		if !p.ok || p.pooled && (j.row.stage != "" || j.row.sex != "") {
			continue
		}
		if z, _ := p.modifiedZ(c); math.Abs(z) <= j.f.settings.ModifiedZ*p.widened || j.blamed(c) {
			continue
		}
		e, _ := v.inGroup(i, j.f.settings)
		others := "The animal's other measurements do not contradict it."
		if len(v.cells) == 1 {
			others = "The animal has no other measurements."
		}
		j.findings = append(j.findings, record.Finding{
			Rule: "value-extreme", Level: record.Note, At: c.first().From(), Capture: j.row.capture.Key,
			Field: c.measurement, Value: c.first().Verbatim, Group: e.group, Figures: e.figures(c.value), Reference: e.reference,
			Reason: v.doubt(i, e.statistic) + " for its group: " + e.text + ". " + others,
		})
		return // one animal, one note: a large animal is large in every measurement
	}
}
