package weigh

import (
	"fmt"
	"math"

	"spadefoot/pipeline/record"
)

// drift is how far a scale may be out, as half widths: of its zero in grams, and
// of its masses in parts of them.
type drift struct {
	zero, gain float64
	name       string
}

// driftOn tells how far the checks of a scale find it out on a day: the worse of
// the last day with checks up to then and the first one from then on, since it
// drifted somewhere between the two. Without a day it is the worst of all.
func (s *Settings) driftOn(scale *Instrument, day string) (out drift) {
	grams, known := gramsOf(scale)
	if !known {
		return out
	}
	before, after := "", ""
	for _, c := range s.Checks {
		if !sameLabel(c.Scale, scale.Name) || day == "" {
			continue
		}
		if c.Date <= day && c.Date > before {
			before = c.Date
		}
		if c.Date >= day && (after == "" || c.Date < after) {
			after = c.Date
		}
	}
	days := map[string][]Check{}
	for _, c := range s.Checks {
		if sameLabel(c.Scale, scale.Name) && (day == "" || c.Date == before || c.Date == after) {
			days[c.Date] = append(days[c.Date], c)
		}
	}
	for _, checks := range days {
		zero, gain := outBy(checks)
		out.zero, out.gain = max(out.zero, math.Abs(zero)*grams), max(out.gain, math.Abs(gain))
		out.name = scale.Name
	}
	return out
}

// outBy works out of the checks of one day what the zero is out by, and in what
// part masses are, the zero taken off.
func outBy(checks []Check) (zero, gain float64) {
	n := 0
	for _, c := range checks {
		if c.Load == 0 {
			zero += c.Reading
			n++
		}
	}
	zero /= float64(max(n, 1))
	n = 0
	for _, c := range checks {
		if c.Load > 0 {
			gain += (c.Reading - zero - c.Load) / c.Load
			n++
		}
	}
	return zero, gain / float64(max(n, 1))
}

// drift adds what the checks of the scale leave open of a mass: rectangular over
// the half width (JCGM 100:2008, 4.3.7). What the zero is out by cancels in a
// difference of two readings, and where the scale was set to zero.
func (b *budget) drift(d drift, mass float64, zero bool) {
	if d.name == "" {
		return
	}
	if half := d.gain * math.Abs(mass); half > 0 {
		b.squares += square(half) / 3
		b.say("drift ±" + plain(significant(100*d.gain, 2)) + " % of " + d.name)
	}
	if zero && d.zero > 0 {
		b.squares += square(d.zero) / 3
		b.say("zero ±" + plain(significant(d.zero, 2)) + " g of " + d.name)
	}
}

// driftOf is the drift of the scale of a reading on the day of the capture.
func (j *job) driftOf(r *record.Reading) drift {
	if len(j.s.Checks) == 0 {
		return drift{}
	}
	scale := j.s.instrument(r.Instrument)
	if scale == nil {
		scale = j.s.instrument(j.w.Scale)
	}
	day := j.c.Get("eventDate")
	if len(day) < len("2006-01-02") {
		day = ""
	}
	return j.s.driftOn(scale, day[:min(len(day), len("2006-01-02"))])
}

// DriftOf tells the checks of each scale that lie farther off than its graduation
// and calibration explain: one finding a scale, on the check that is farthest
// off, whose place in the list goes with it.
func DriftOf(s Settings) (out []record.Finding, at []int) {
	for i := range s.Instruments {
		in := &s.Instruments[i]
		worst, off, far, n := -1, 0.0, 0, 0
		for k, c := range s.Checks {
			if !sameLabel(c.Scale, in.Name) {
				continue
			}
			n++
			d := math.Abs(c.Reading - c.Load)
			if d <= (in.Graduation+in.Calibration)*(1+1e-9) {
				continue
			}
			far++
			if worst < 0 || d > off {
				worst, off = k, d
			}
		}
		if worst < 0 {
			continue
		}
		c := s.Checks[worst]
		said := fmt.Sprintf("with %s %s on it", plain(c.Load), in.Unit)
		if c.Load == 0 {
			said = "with nothing on it"
		}
		out = append(out, record.Finding{Rule: ruleDrifted, Level: levels[ruleDrifted], Field: in.Name, Value: plain(c.Reading),
			Group: fmt.Sprintf("checks of %s, n = %d", in.Name, n), Reference: "JCGM 100:2008, 4.3.7",
			Figures: []record.Figure{{Name: "value", Value: c.Reading}, {Name: "n", Value: float64(n)}, {Name: "expected", Value: c.Load},
				{Name: "statistic", Value: significant(off, 6)}, {Name: "threshold", Value: in.Graduation + in.Calibration}},
			Reason: fmt.Sprintf("%s read %s %s %s on %s; %d of its %d checks are off by more than graduation and calibration explain. The accuracy of the masses includes what the checks leave open; no mass is corrected.",
				in.Name, plain(c.Reading), in.Unit, said, c.Date, far, n)})
		at = append(at, worst)
	}
	return out, at
}
