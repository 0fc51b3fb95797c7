package weigh

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// Weigh works out the mass of one animal and adds one reading to c.Readings:
// bodyMass where the net is known, or grossMass where only animal and bag
// together are. It sets c.Weighing.Net unless a person wrote a net, which stays
// as it was written, and for a bag table c.Weighing.Tare. What cannot stand is
// not added, and the findings say why. A capture without a weighing gives
// nothing.
//
// Masses are in grams. The accuracy of the reading is the expanded uncertainty
// with coverage factor 2. Calling Weigh twice on a capture does not add the
// reading twice.
func Weigh(c *record.Capture, bags BagTable, s Settings) []record.Finding {
	if c == nil || c.Weighing == nil {
		return nil
	}
	job := &job{c: c, w: c.Weighing, s: s.withDefaults()}
	job.forget()
	job.scaleName()
	if job.w.Way == record.BagTable {
		job.lookUp(bags)
	}
	switch job.w.Way {
	case record.Zeroed:
		job.zeroed()
	case record.AsWritten, "":
		job.asWritten()
	default:
		job.readings()
	}
	return job.findings
}

// job is the weighing of one capture under way.
type job struct {
	c        *record.Capture
	w        *record.Weighing
	s        Settings
	findings []record.Finding
}

// forget takes out what an earlier call added.
func (j *job) forget() {
	if j.w.Net != nil && j.w.Net.Derived {
		j.w.Net = nil
	}
	for i := range j.c.Readings {
		if j.added(&j.c.Readings[i]) {
			j.c.Readings = slices.DeleteFunc(j.c.Readings, func(r record.Reading) bool { return j.added(&r) })
			return
		}
	}
}

// added reports whether a reading is one that this stage adds.
func (j *job) added(r *record.Reading) bool {
	mass := r.Measurement == BodyMass || r.Measurement == GrossMass
	return mass && (r.Derived || sameCell(r, j.w.Net) || sameCell(r, j.w.Gross))
}

func sameCell(r, part *record.Reading) bool { return part != nil && r.SameCell(part) }

// find adds a finding at the cell of a reading, or at the row without one.
func (j *job) find(rule string, r *record.Reading, reason string, figures ...record.Figure) *record.Finding {
	f := record.Finding{
		Rule: rule, Level: levels[rule], At: j.c.Address(), Capture: j.c.Key,
		Reason: reason, Figures: figures,
	}
	if r != nil {
		f.Field, f.Value = r.Measurement, r.Verbatim
		if r.From().File != "" || r.From().Row > 0 {
			f.At = r.From()
		}
	}
	j.findings = append(j.findings, f)
	return &j.findings[len(j.findings)-1]
}

func (j *job) scaleName() {
	if len(j.s.Instruments) == 0 || j.w.Scale == "" || labelKey(j.w.Scale) == "" {
		return
	}
	if j.s.instrument(j.w.Scale) == nil {
		j.find(ruleScaleUnknown, nil, fmt.Sprintf("no instrument is named %q", j.w.Scale)).Field = record.Scale
	}
}

// lookUp takes the tare from the table of bags unless the row has one.
func (j *job) lookUp(bags BagTable) {
	if number(j.w.Tare) || !number(j.w.Gross) || labelKey(j.w.BagLabel) == "" {
		return
	}
	bag, how := bags.find(j.w.BagLabel, j.c.Get("eventDate"))
	if how == unknown {
		f := j.find(ruleBagUnknown, nil, fmt.Sprintf("bag %q is not in the table of bags", j.w.BagLabel))
		f.Field, f.Value = record.Bag, j.w.BagLabel
		if j.w.Bag.File != "" {
			f.At = j.w.Bag
		}
		return
	}
	tare := bag.Mass
	name(&tare, BagMass)
	if how == later {
		tare.State = doubtful(tare.State)
		f := j.find(ruleBagLater, nil, fmt.Sprintf("bag %q was first weighed on %s, after the capture of %s",
			j.w.BagLabel, bag.From, j.c.Get("eventDate")))
		f.Field, f.Value, f.Also = record.Bag, j.w.BagLabel, also(tare.From())
		if j.w.Bag.File != "" {
			f.At = j.w.Bag
		}
	}
	j.w.Tare = &tare
}

func also(a record.Address) []record.Address {
	if a.File == "" {
		return nil
	}
	return []record.Address{a}
}

// number reports whether a reading was taken and says something of a number.
func number(r *record.Reading) bool {
	return r != nil && r.State != record.Missing && r.State != record.Unread
}

func doubtful(s record.State) record.State {
	if s == record.Measured {
		return record.Doubtful
	}
	return s
}

// zeroed takes the reading of a scale that was set to zero with the bag on.
// The setting and the reading each carry the graduation.
func (j *job) zeroed() {
	net := j.w.Net
	if net == nil && j.w.Tare == nil {
		net = j.w.Gross
	}
	if !number(net) {
		return
	}
	g := j.s.scaleFor(net, j.w)
	j.onScale(net, g)
	var b budget
	b.reading(net, g)
	b.setting(g)
	b.drift(j.driftOf(net), net.Number, false)
	j.takeNet(net, &b, "scale zeroed with the bag on")
}

// asWritten takes the mass of the animal of which nobody says how it came
// about. Whether a bag was zeroed or subtracted, the scale is behind it
// twice.
func (j *job) asWritten() {
	if !number(j.w.Net) || number(j.w.Gross) {
		j.readings()
		return
	}
	j.handNet(j.w.Net, "")
}

// takeNet publishes a net that a person wrote.
func (j *job) takeNet(net *record.Reading, b *budget, remark string) {
	if top(net) <= 0 {
		j.find(ruleNotPositive, net, fmt.Sprintf("a net of %s g cannot be the mass of an animal", net.Text))
		return
	}
	r := *net
	name(&r, BodyMass)
	r.SetRemark(joined(net.Remark(), remark))
	b.repeats(j.repeatability(&r), r.Number)
	u := b.settle(&r)
	j.publish(r)
	j.bounded(&r)
	j.uncertain(&r, u)
}

// name says what a reading measures.
func name(r *record.Reading, measurement string) {
	if r.Measurement != measurement {
		r.Vary(func(s *record.Series) { s.Measurement = measurement })
	}
}

// repeatability is that of the mass of the animal in the hands of its observer.
func (j *job) repeatability(r *record.Reading) *record.Repeatability {
	if len(j.s.Repeats) == 0 {
		return nil
	}
	return j.s.Repeats.Find(BodyMass, cmp.Or(r.Observer, j.c.Get("measurementDeterminedBy"), j.c.Get("recordedBy")))
}

func (j *job) publish(r record.Reading) {
	if r.Instrument == "" && j.w.Scale != "" {
		r.Vary(func(s *record.Series) { s.Instrument = j.w.Scale })
	}
	j.c.Readings = append(j.c.Readings, r)
}

// top is the largest value that a reading leaves open.
func top(r *record.Reading) float64 {
	switch r.State {
	case record.Interval:
		return r.High()
	case record.Above:
		return math.Inf(1)
	}
	return r.Number
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
