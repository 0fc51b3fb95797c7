package calendar

import (
	"fmt"
	"strings"
	"time"

	"spadefoot/pipeline/record"
)

// Offset returns a time of day, or a range of two, with the offset that zone has
// on that day: "21:30-04:00". An offset that was written stays. A local time
// that does not exist or comes twice, since the clocks were changed, is left
// without one, with a problem; so is a time of which no day is certain, without.
func Offset(day Day, t Time, zone *time.Location) (text string, problems []record.Problem) {
	if t.ISO == "" || day.IsZero() || t.Start.Hour == 24 || t.End.Hour == 24 {
		return t.ISO, nil
	}
	r := &reader{o: Options{Zone: zone}}
	clock := func(day Day, c Clock) string {
		_, s, _ := strings.Cut(r.stampTo(day, c, t.Offset, t.Precision), "T")
		return s
	}
	text = clock(day, t.Start)
	if t.Range {
		last := day
		if t.End.before(t.Start) {
			last = day.Add(1)
		}
		text += "/" + clock(last, t.End)
	}
	return text, r.problems
}

// withTime puts a time on the date that was read.
func (r *reader) withTime(d *Date, t Time) {
	if t.ISO == "" {
		return
	}
	if !d.singleDay() || d.Precision != ToDay {
		r.problem(ruleTimeLoose, fmt.Sprintf("%s cannot be assigned to one definite day", t.ISO), "")
		return
	}
	day := d.Start
	d.ISO, d.Precision = r.stampTo(day, t.Start, t.Offset, t.Precision), t.Precision
	if t.Range {
		last := day
		if t.End.before(t.Start) {
			last = day.Add(1)
			r.problem(ruleNight, fmt.Sprintf("%s goes past midnight and ends on %s", t.ISO, last), "")
		}
		d.ISO += "/" + r.stampTo(last, t.End, t.Offset, t.Precision)
		d.End = last
	}
	d.Doubtful = d.Doubtful || t.Doubtful
	d.Remark = joined(d.Remark, t.Remark)
}

func (r *reader) stamp(day Day, c Clock, offset string) string {
	p := ToMinute
	if c.Second != 0 {
		p = ToSecond
	}
	return r.stampTo(day, c, offset, p)
}

// stampTo writes day and time. An offset that was written stays; else the zone
// gives it, unless the clocks change so that the local time has none or two.
func (r *reader) stampTo(day Day, c Clock, offset string, p Precision) string {
	if c.Hour == 24 {
		day, c = day.Add(1), Clock{}
	}
	local := day.String() + "T" + c.text(p)
	if offset != "" || r.o.Zone == nil {
		return local + offset
	}
	t := time.Date(day.Year, time.Month(day.Month), day.Day, c.Hour, c.Minute, c.Second, 0, r.o.Zone)
	if !certain(t, c) {
		r.problem(ruleTimeShift, fmt.Sprintf("%s in %s does not exist or occurs twice", local, r.o.Zone), "")
		return local
	}
	return local + t.Format("Z07:00")
}

// certain reports whether the local time names exactly one instant.
func certain(t time.Time, c Clock) bool {
	if t.Hour() != c.Hour || t.Minute() != c.Minute {
		return false
	}
	_, now := t.Zone()
	for _, h := range []time.Duration{-3 * time.Hour, 3 * time.Hour} {
		_, then := t.Add(h).Zone()
		if then == now {
			continue
		}
		other := t.Add(time.Duration(now-then) * time.Second)
		if _, o := other.Zone(); o == then {
			return false
		}
	}
	return true
}
