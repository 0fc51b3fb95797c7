package weigh

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
)

// readings works from gross and tare.
func (j *job) readings() {
	gross, tare, net := j.w.Gross, j.w.Tare, j.w.Net
	if !number(gross) {
		if number(net) {
			j.handNet(net, "the net is written without its gross")
		}
		return
	}
	g := j.s.scaleFor(gross, j.w)
	j.onScale(gross, g)
	j.low(gross, g)
	if !number(tare) {
		if number(net) {
			j.handNet(net, "the net is written without its tare")
			return
		}
		j.grossOnly(gross, g)
		return
	}
	t := j.s.scaleFor(tare, j.w)
	if j.w.Way == record.SameRow {
		j.onScale(tare, t)
	}
	if top(gross)-bottom(tare) <= 0 {
		f := j.find(ruleTareNotLess, j.ownTare(tare, gross), fmt.Sprintf("a bag of %s g in a gross of %s g leaves no animal; the two may be swapped",
			tare.Text, gross.Text), record.Figure{Name: "gross", Value: gross.Number},
			record.Figure{Name: "tare", Value: tare.Number})
		f.Also = also(gross.From)
		if step := max(g.graduation, t.graduation); math.Abs(gross.Number-tare.Number) <= step*(1+1e-9) && step >= coarseStep*gross.Number {
			f.Level = record.Note
			f.Reason = fmt.Sprintf("a bag of %s g in a gross of %s g: the animal is lighter than the scale can tell", tare.Text, gross.Text)
		}
		return
	}
	j.subtract(gross, tare, g, t)
}

// coarseStep is the part of a gross from which one mark of the scale is so much
// that gross and tare of a small animal may come out alike.
const coarseStep = 0.02

// ownTare is the reading to point at for a doubtful tare: the tare itself where
// it was written beside the gross, else the gross, since one tare that serves
// many captures is not wrong for one of them.
func (j *job) ownTare(tare, gross *record.Reading) *record.Reading {
	if tare.From.File == gross.From.File {
		return tare
	}
	return gross
}

// bottom is the smallest value that a reading leaves open.
func bottom(r *record.Reading) float64 {
	switch r.State {
	case record.Interval:
		return r.Low
	case record.Below:
		return math.Inf(-1)
	}
	return r.Number
}

// handNet publishes a net that was worked out on paper. Two readings stand
// behind it, so it carries the graduation twice.
func (j *job) handNet(net *record.Reading, why string) {
	g := j.s.scaleFor(net, j.w)
	u := standard(net, g)
	j.takeNet(net, expanded(u, u), why+"; graduation "+g.said())
}

// grossOnly publishes animal and bag together.
func (j *job) grossOnly(gross *record.Reading, g scaleOf) {
	if j.w.Way != record.NoTare {
		j.find(ruleTareMissing, gross, j.whyNoTare())
	}
	if top(gross) <= 0 {
		j.find(ruleNotPositive, gross, fmt.Sprintf("a gross of %s g cannot be the mass of an animal and a bag", gross.Text))
		return
	}
	r := *gross
	r.Measurement = GrossMass
	r.Accuracy = expanded(standard(gross, g))
	r.Remark = joined(gross.Remark, "animal and bag together; graduation "+g.said())
	j.publish(r)
}

func (j *job) whyNoTare() string {
	switch {
	case j.w.Tare != nil && j.w.Tare.State == record.Unread:
		return "the tare cannot be read, so the mass is that of animal and bag"
	case j.w.Way == record.BagTable && labelKey(j.w.BagLabel) == "":
		return "no bag is named, so the mass is that of animal and bag"
	case j.w.Way == record.BagTable:
		return fmt.Sprintf("no mass is known for bag %q, so the mass is that of animal and bag", j.w.BagLabel)
	case j.w.Way == record.SessionTare:
		return "the session has no tare, so the mass is that of animal and bag"
	}
	return "the tare was not taken, so the mass is that of animal and bag"
}

// subtract publishes gross less tare. With bounds and ranges the net is what
// they leave open: from the lowest gross less the highest tare to the highest
// gross less the lowest tare.
func (j *job) subtract(gross, tare *record.Reading, g, t scaleOf) {
	step := stepOf(gross, tare, math.Max(g.graduation, t.graduation))
	net := record.Reading{
		Measurement: BodyMass, Unit: "g", WrittenUnit: gross.WrittenUnit, Decimals: places(step),
		Instrument: gross.Instrument, Replicate: gross.Replicate, From: gross.From, Derived: true,
	}
	low, high := bottom(gross)-top(tare), top(gross)-bottom(tare)
	switch {
	case math.IsInf(low, 0) && math.IsInf(high, 0):
		j.find(ruleNetBound, gross, "gross and tare are bounds that leave the net open")
		return
	case math.IsInf(low, 0):
		net.State = record.Below
		net.Number, net.Text = difference(top(gross), bottom(tare), step)
	case math.IsInf(high, 0):
		net.State = record.Above
		net.Number, net.Text = difference(bottom(gross), top(tare), step)
	case gross.State == record.Interval || tare.State == record.Interval:
		var from, to string
		net.State = record.Interval
		net.Low, from = difference(bottom(gross), top(tare), step)
		net.High, to = difference(top(gross), bottom(tare), step)
		net.Number, net.Text = (net.Low+net.High)/2, from+"-"+to
	default:
		net.Number, net.Text = difference(gross.Number, tare.Number, step)
		if gross.State == record.Doubtful || tare.State == record.Doubtful {
			net.State = record.Doubtful
		}
	}
	ug, ut := standard(gross, g), standard(tare, t)
	net.Accuracy = expanded(ug, ut)
	net.Remark = saidOf(gross, tare, g, t)
	j.compare(&net, g, ug, ut)
	if top(&net) <= 0 {
		j.find(ruleNotPositive, gross, fmt.Sprintf("a net of %s g cannot be the mass of an animal", net.Text))
		return
	}
	if j.w.Net == nil {
		j.w.Net = &net
	}
	j.publish(net)
	j.bounded(&net)
	j.uncertain(&net)
}

// saidOf says how a net came about.
func saidOf(gross, tare *record.Reading, g, t scaleOf) string {
	var room [120]byte
	b := append(append(room[:0], "gross "...), gross.Text...)
	b = append(append(b, " g less tare "...), tare.Text...)
	b = g.appendSaid(append(b, " g; graduation "...))
	if t != g {
		b = t.appendSaid(append(b, ", and "...))
	}
	return string(b)
}

// stepOf is what a net is rounded to: the graduation, or where the masses came
// from another unit and so are no multiples of it, the coarser of their last
// places.
func stepOf(gross, tare *record.Reading, graduation float64) float64 {
	own := func(r *record.Reading) bool { return r.WrittenUnit == "" || r.WrittenUnit == r.Unit }
	if own(gross) && own(tare) {
		return graduation
	}
	return math.Pow10(-min(gross.Decimals, tare.Decimals))
}

// compare holds a written net against gross less tare. They may differ by the
// expanded uncertainty of all three.
func (j *job) compare(net *record.Reading, g scaleOf, ug, ut float64) {
	written := j.w.Net
	if !number(written) || !written.Usable() || !net.Usable() {
		return
	}
	u := standard(written, scaleOf{graduation: writtenStep(written)})
	limit := expanded(ug, ut, u)
	off := math.Abs(written.Number - net.Number)
	net.Remark = joined(net.Remark, fmt.Sprintf("net written as %s g", written.Text))
	if off <= limit*(1+1e-9) {
		return
	}
	f := j.find(ruleNetDiffers, written, fmt.Sprintf("a net of %s g is written where gross less tare is %s g",
		written.Text, net.Text), record.Figure{Name: "value", Value: written.Number},
		record.Figure{Name: "expected", Value: net.Number}, record.Figure{Name: "statistic", Value: significant(off, 6)},
		record.Figure{Name: "threshold", Value: limit})
	f.Suggestion, f.Reference = net.Text, "JCGM 100:2008, 5.1.2"
}
