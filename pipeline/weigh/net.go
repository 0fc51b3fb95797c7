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
	if j.w.Bagged && isZero(tare) {
		f := j.find(ruleTareZero, tare, "a bag of 0 g among bags that weigh something; it counts as not weighed")
		f.Also = also(gross.From())
		if j.s.Confirmed == nil || !j.s.Confirmed(ruleTareZero, tare.From()) {
			j.zeroTare(gross, tare, net, g)
			return
		}
	}
	if !number(tare) {
		if number(net) {
			j.handNet(net, "the net is written without its tare")
			return
		}
		if j.w.Way != record.NoTare {
			j.find(ruleTareMissing, gross, j.whyNoTare())
		}
		j.grossOnly(gross, g)
		return
	}
	t := j.s.scaleFor(tare, j.w)
	j.single(gross, g)
	if j.w.Way != record.SessionTare {
		j.single(tare, t)
	}
	if j.w.Way == record.SameRow {
		j.onScale(tare, t)
	}
	if top(gross)-bottom(tare) <= 0 {
		f := j.find(ruleTareNotLess, j.ownTare(tare, gross), fmt.Sprintf("a bag of %s g in a gross of %s g leaves no animal; the two may be swapped",
			tare.Text, gross.Text), record.Figure{Name: "gross", Value: gross.Number},
			record.Figure{Name: "tare", Value: tare.Number})
		f.Also = also(gross.From())
		if step := max(g.graduation, t.graduation); math.Abs(gross.Number-tare.Number) <= step*(1+1e-9) && step >= coarseStep*gross.Number {
			f.Level = record.Note
			f.Reason = fmt.Sprintf("a bag of %s g in a gross of %s g: the animal is lighter than the scale can resolve", tare.Text, gross.Text)
		}
		return
	}
	j.subtract(gross, tare, g, t)
}

// coarseStep is the part of a gross from which one mark of the scale is so much
// that gross and tare of a small animal may come out alike.
const coarseStep = 0.02

// single returns a reading of a scale that is known the accuracy that it has by
// itself.
func (j *job) single(r *record.Reading, g scaleOf) {
	var b budget
	b.reading(r, g)
	b.drift(j.driftOf(r), r.Number, true)
	if before := r.Accuracy; !b.open && before == 0 {
		b.settle(r)
	}
}

// ownTare is the reading to point at for a doubtful tare: the tare itself where
// it was written beside the gross, else the gross, since one tare that serves
// many captures is not wrong for one of them.
func (j *job) ownTare(tare, gross *record.Reading) *record.Reading {
	if tare.From().File == gross.From().File {
		return tare
	}
	return gross
}

// bottom is the smallest value that a reading leaves open.
func bottom(r *record.Reading) float64 {
	switch r.State {
	case record.Interval:
		return r.Low()
	case record.Below:
		return math.Inf(-1)
	}
	return r.Number
}

// handNet publishes a net that was worked out on paper. Two readings stand
// behind it, so it carries the scale twice.
func (j *job) handNet(net *record.Reading, why string) {
	g := j.s.scaleFor(net, j.w)
	var b budget
	b.reading(net, g)
	b.reading(net, g)
	b.drift(j.driftOf(net), net.Number, false)
	j.takeNet(net, &b, why)
}

// grossOnly publishes animal and bag together.
func (j *job) grossOnly(gross *record.Reading, g scaleOf) {
	if top(gross) <= 0 {
		j.find(ruleNotPositive, gross, fmt.Sprintf("a gross of %s g cannot be the mass of an animal and a bag", gross.Text))
		return
	}
	var b budget
	b.reading(gross, g)
	b.drift(j.driftOf(gross), gross.Number, true)
	r := *gross
	name(&r, GrossMass)
	r.SetRemark(joined(gross.Remark(), "animal and bag together"))
	b.settle(&r)
	j.publish(r)
}

// isZero reports whether a bag of 0 g was written, also where zeroTare has taken
// it before.
func isZero(tare *record.Reading) bool {
	return tare != nil && tare.Text != "" && tare.Number == 0 && (tare.Usable() || tare.State == record.Missing)
}

// zeroTare takes a bag of 0 g among bags that weigh something for one that was
// not weighed. Nothing is published of it but what was written.
func (j *job) zeroTare(gross, tare, net *record.Reading, g scaleOf) {
	tare.State = record.Missing
	if number(net) {
		j.handNet(net, "tare written as "+tare.Text+" g")
		return
	}
	written := *gross
	written.SetRemark(joined(gross.Remark(), "tare written as "+tare.Text+" g"))
	j.grossOnly(&written, g)
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
	return "the bag was not weighed, so the mass is that of animal and bag"
}

// subtract works out gross less tare. With bounds and ranges the net is what
// they leave open: from the lowest gross less the highest tare to the highest
// gross less the lowest tare. It has the decimals of the finer of the two.
func (j *job) subtract(gross, tare *record.Reading, g, t scaleOf) {
	places := max(gross.Decimals, tare.Decimals)
	net := record.Reading{Series: j.s.net.of(gross.Series, tare.Series), Decimals: places, Row: gross.Row}
	low, high := bottom(gross)-top(tare), top(gross)-bottom(tare)
	switch {
	case math.IsInf(low, 0) && math.IsInf(high, 0):
		j.find(ruleNetBound, gross, "gross and tare are bounds, so the net is unknown")
		return
	case math.IsInf(low, 0):
		net.State = record.Below
		net.Number, net.Text = difference(top(gross), bottom(tare), places)
	case math.IsInf(high, 0):
		net.State = record.Above
		net.Number, net.Text = difference(bottom(gross), top(tare), places)
	case gross.State == record.Interval || tare.State == record.Interval:
		var from, to string
		net.State = record.Interval
		low, from = difference(bottom(gross), top(tare), places)
		high, to = difference(top(gross), bottom(tare), places)
		net.SetBounds(low, high)
		net.Number, net.Text = (low+high)/2, from+"-"+to
	default:
		net.Number, net.Text = difference(gross.Number, tare.Number, places)
		if gross.State == record.Doubtful || tare.State == record.Doubtful {
			net.State = record.Doubtful
		}
	}
	var b budget
	b.reading(gross, g)
	b.reading(tare, t)
	b.bags(j.w)
	b.drift(j.driftOf(gross), net.Number, false)
	if written := j.w.Net; number(written) {
		j.compare(written, &net, b)
		j.takeNet(written, &b, "")
		return
	}
	if top(&net) <= 0 {
		j.find(ruleNotPositive, gross, fmt.Sprintf("a net of %s g cannot be the mass of an animal", net.Text))
		return
	}
	b.repeats(j.repeatability(&net), net.Number)
	u := b.settle(&net)
	if j.w.Net == nil {
		j.w.Net = &net
	}
	j.publish(net)
	j.bounded(&net)
	j.uncertain(&net, u)
}

// compare compares a written net with gross less tare. They may differ by the
// expanded uncertainty of all three. The written one is kept.
func (j *job) compare(written, net *record.Reading, b budget) {
	if !written.Usable() || !net.Usable() {
		return
	}
	b.squares += square(standard(written, scaleOf{graduation: lastPlace(written)}))
	limit := significant(b.expanded(), 2)
	off := math.Abs(written.Number - net.Number)
	if off <= limit*(1+1e-9) {
		return
	}
	f := j.find(ruleNetDiffers, written, fmt.Sprintf("the written net is %s g, but gross less tare is %s g",
		written.Text, net.Text), record.Figure{Name: "value", Value: written.Number},
		record.Figure{Name: "expected", Value: net.Number}, record.Figure{Name: "statistic", Value: significant(off, 6)},
		record.Figure{Name: "threshold", Value: limit})
	f.Suggestion, f.Reference = net.Text, "JCGM 100:2008, 5.1.2"
}
