package remedy

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"spadefoot/pipeline/record"
)

// By says who decided, when and why: "I. Varga on 2024-09-02: digits exchanged".
func (r *Remedy) By() string { return r.Who + " on " + r.When + ": " + r.Why }

// Done says in one sentence what was decided, with what was written.
func (a *Applied) Done() string {
	written := fmt.Sprintf("%s: %s written (%s)", a.Field, quoted(a.Before), a.At)
	switch a.Action {
	case Replace:
		return written + ", replaced with " + strconv.Quote(a.Replacement) + " by " + a.By()
	case Clear:
		return written + ", cleared by " + a.By()
	case Drop:
		return "capture " + a.Capture + ": left out by " + a.By() + "; written: " + quoted(a.Before) + " (" + a.At.String() + ")"
	}
	if a.At.Column == 0 {
		return "confirmed against " + a.Rule + " by " + a.By()
	}
	return written + ", confirmed against " + a.Rule + " by " + a.By()
}

func quoted(text string) string {
	if strings.TrimSpace(text) == "" {
		return "nothing"
	}
	return strconv.Quote(text)
}

// Trace writes what was decided into the captures: beside a reading that is
// published, and else into the remarks of the capture. What was written goes
// with it, so that nothing a person wrote is lost. Brief picks captures of
// which only who decided and when may be published; it may be nil.
func Trace(applied []*Applied, captures []*record.Capture, brief func(*record.Capture) bool) {
	owners := owners(captures)
	for _, a := range applied {
		if a.Action == Drop {
			continue // it has no capture any more
		}
		var seen []*record.Capture
		for _, row := range a.Rows {
			c := owners.of(row)
			if c == nil || slices.Contains(seen, c) {
				continue
			}
			seen = append(seen, c)
			short := brief != nil && brief(c)
			switch marked := a.mark(c, short); {
			case marked:
			case short:
				c.Remarks = append(c.Remarks, a.Field+": "+a.verb()+" by "+a.Who+" on "+a.When)
			default:
				c.Remarks = append(c.Remarks, a.Done())
			}
		}
	}
}

func (a *Applied) verb() string {
	switch a.Action {
	case Replace:
		return "replaced"
	case Clear:
		return "cleared"
	case Drop:
		return "left out"
	}
	return "confirmed"
}

// mark adds the decision to the readings of the cell. It reports whether one
// of them is published with the remark.
func (a *Applied) mark(c *record.Capture, brief bool) bool {
	marked := false
	for i := range c.Readings {
		marked = a.markReading(&c.Readings[i], brief) || marked
	}
	for r := range c.Weighing.Readings() {
		a.markReading(r, brief) // published or not, as the survey chooses: the remarks of the capture say it too
	}
	return marked
}

func (a *Applied) markReading(r *record.Reading, brief bool) bool {
	if r.Derived || r.Verbatim != a.Before || r.From() != a.At && !slices.Contains(a.Also, r.From()) {
		return false
	}
	text := a.verb() + " by " + a.By()
	switch {
	case brief:
		text = a.verb() + " by " + a.Who + " on " + a.When
	case a.Action == Replace:
		text = "replaced with " + strconv.Quote(a.Replacement) + " by " + a.By()
	}
	if !strings.Contains(r.Remark(), text) {
		if r.Remark() != "" {
			text = r.Remark() + "; " + text
		}
		r.SetRemark(text)
	}
	return a.Action != Clear && r.State != record.Missing && r.State != record.Unread && r.Measurement != masses[record.Gross] && r.Measurement != masses[record.Tare]
}

// ownership finds the capture that a row of a table belongs to.
type ownership map[RowRef][]*record.Capture

func owners(captures []*record.Capture) ownership {
	o := ownership{}
	for _, c := range captures {
		k := RowRef{File: c.File, Sheet: c.Sheet, Table: c.Table}
		o[k] = append(o[k], c)
	}
	return o
}

// of returns the last capture that begins at the row or before it: where each
// row is one measurement, a capture has several rows.
func (o ownership) of(row RowRef) *record.Capture {
	n := row.Row
	row.Row = 0
	list := o[row]
	i, ok := slices.BinarySearchFunc(list, n, func(c *record.Capture, n int) int { return c.Row - n })
	if ok {
		return list[i]
	}
	if i == 0 {
		return nil
	}
	return list[i-1]
}
