package weigh

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
)

// onScale holds one reading against the capacity and the marks of its scale.
func (j *job) onScale(r *record.Reading, g scaleOf) {
	if g.capacity > 0 && bottom(r) > g.capacity*(1+1e-9) {
		j.find(RuleCapacity, r, fmt.Sprintf("%s g exceeds the scale's capacity of %s g", r.Text, plain(g.capacity)),
			record.Figure{Name: "value", Value: r.Number}, record.Figure{Name: "threshold", Value: g.capacity})
	}
	if g.name == "" || !r.Usable() || r.WrittenUnit != "" && r.WrittenUnit != r.Unit {
		return
	}
	marks := r.Number / g.graduation
	if math.Abs(marks-math.Round(marks)) > j.s.OffGraduation {
		j.find(ruleGraduation, r, fmt.Sprintf("%s g is not on a mark of the scale, which has a mark every %s g",
			r.Text, plain(g.graduation)),
			record.Figure{Name: "value", Value: r.Number}, record.Figure{Name: "graduation", Value: g.graduation})
	}
}

// low notes a gross in the lowest part of the scale. Common practice is to
// change to a smaller scale there.
func (j *job) low(r *record.Reading, g scaleOf) {
	if limit := g.capacity * j.s.LowFraction; g.capacity > 0 && r.Usable() && r.Number < limit && r.Number > 0 {
		j.find(ruleLow, r, fmt.Sprintf("%s g is below %s g, the lowest part of a scale for %s g",
			r.Text, plain(limit), plain(g.capacity)),
			record.Figure{Name: "value", Value: r.Number}, record.Figure{Name: "threshold", Value: limit})
	}
}

// bounded notes a net that is not a single number.
func (j *job) bounded(net *record.Reading) {
	word := ""
	switch net.State {
	case record.Below:
		word = "less than "
	case record.Above:
		word = "more than "
	case record.Interval:
	default:
		return
	}
	j.find(ruleNetBound, net, fmt.Sprintf("the net mass is known only as %s%s g", word, net.Text))
}

// uncertain warns of a net whose expanded uncertainty is a large part of it.
// Where the scale is not known that is at least what the digits leave open.
func (j *job) uncertain(net *record.Reading, accuracy float64) {
	if !net.Usable() || net.Number <= 0 {
		return
	}
	limit := j.s.RelativeUncertainty * (1 + 1e-9)
	if accuracy*1.1 < limit*net.Number {
		return // also when it is rounded to two digits
	}
	accuracy = significant(accuracy, 2)
	if rel := accuracy / net.Number; rel > limit {
		mass := "mass" // nobody may have said that it is net
		if j.w.Gross != nil {
			mass = "net mass"
		}
		f := j.find(ruleNetUncertain, net, fmt.Sprintf("the %s of %s g is uncertain by ±%s g, %.0f %% of it",
			mass, net.Text, plain(accuracy), 100*rel),
			record.Figure{Name: "value", Value: net.Number}, record.Figure{Name: "uncertainty", Value: accuracy},
			record.Figure{Name: "statistic", Value: significant(rel, 4)},
			record.Figure{Name: "threshold", Value: j.s.RelativeUncertainty})
		f.Reference = "JCGM 100:2008, 6.2"
		if f.Value == "" && j.w.Gross != nil {
			f.Value = j.w.Gross.Verbatim
		}
	}
}
