package normalise

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/wording"
)

// What shows that a day is out of order, and what does not.
const (
	orderlySteps = 5    // steps from day to day in order that show an order
	stepsForEach = 10   // and steps for each against it that no slip explains
	strayRows    = 4    // rows around a stray row of a day that show a block of rows of one day
	lateEntry    = 2    // days that a row may be out of order by because it was entered late
	betweenTrips = 10   // days between the rows around that show the month of a row
	maxUnordered = 1000 // days that are remembered of a table
)

// dateOrder looks for days that are out of the order of the rows of a table, and that a
// usual slip would put there: another year written after New Year, day and month
// exchanged, another month, a digit of the day. The rows are in the order of their
// days, or in blocks of rows of one day.
type dateOrder struct {
	days      [3]dayOfRows // the last; rows are added to the third
	text      string       // date of the last row
	read      wording.Known[calendar.Day]
	count     int // of days so far, one for each run of rows
	up, down  int // steps to a later and to an earlier day
	returns   int // of one day after a single other
	unordered []unorderedDay
}

// dayOfRows is a run of rows of one day.
type dayOfRows struct {
	calendar.Day
	cells   []record.Run
	n       int    // of its cells
	key     string // of the first capture
	written string // its date
	alone   bool   // the date is all that its cell says
}

// unorderedDay is one that does not lie between the days before and after it.
type unorderedDay struct {
	dayOfRows
	place         int // among the days
	before, after calendar.Day
	up, down      bool // it is out of order where days rise, and where they fall
	stray         bool // it stands in a block of rows of another day
	fits          []datedSlip
}

// datedSlip is a day that may have been meant.
type datedSlip struct {
	calendar.Day
	slip string
}

// add takes the date of a capture; captures come in the order of their rows.
func (o *dateOrder) add(c *record.Capture, date *record.Value) {
	if date == nil || date.Wrong || len(date.Text) != len("2006-01-02") {
		return
	}
	if date.Text != o.text {
		o.text = date.Text
		time := c.Value("eventTime")
		o.begin(dayOfRows{Day: o.read.Of(date, dayOf), cells: o.days[0].cells[:0], key: c.Key, written: date.Verbatim,
			alone: date.Verbatim != "" && (time == nil || time.From() != date.From())})
	}
	last, at := &o.days[2], date.From()
	if n := len(last.cells); n > 0 && at.Row == last.cells[n-1].Last && at.Column == last.cells[n-1].Column {
		return // written once over blanks
	}
	last.n++
	if len(last.cells) < maxGapRuns {
		last.cells = record.Extend(last.cells, at)
	}
}

// begin begins the run of another day.
func (o *dateOrder) begin(d dayOfRows) {
	o.look()
	switch {
	case o.count == 0:
	case d.Compare(o.days[2].Day) > 0:
		o.up++
	default:
		o.down++
	}
	o.count++
	o.days = [3]dayOfRows{o.days[1], o.days[2], d}
}

// look looks at the second of the last three days, once the third is over.
func (o *dateOrder) look() {
	if o.count < 3 {
		return
	}
	before, here, after := &o.days[0], &o.days[1], &o.days[2]
	u := unorderedDay{dayOfRows: *here, place: o.count, before: before.Day, after: after.Day, up: before.Compare(after.Day) <= 0, down: before.Compare(after.Day) >= 0}
	if u.up && u.down {
		o.returns++
		u.stray = strayRows*here.n <= before.n+after.n
	}
	from, to := u.before, u.after
	if !u.up {
		from, to = to, from
	}
	if here.Compare(from.Add(-lateEntry)) >= 0 && here.Compare(to.Add(lateEntry)) <= 0 || len(o.unordered) == maxUnordered {
		return
	}
	if u.fits = slipsBetween(here.Day, from, to); len(u.fits) > 0 {
		u.key, u.written, u.cells = strings.Clone(u.key), strings.Clone(u.written), slices.Clone(u.cells)
		o.unordered = append(o.unordered, u)
	}
}

// slipsBetween gives the days from one to another that a slip would turn into a day.
func slipsBetween(d, from, to calendar.Day) (out []datedSlip) {
	try := func(year, month, day int, slip string) {
		meant := calendar.Day{Year: year, Month: month, Day: day}
		if meant.Valid() && meant.Compare(from) >= 0 && meant.Compare(to) <= 0 && !slices.ContainsFunc(out, func(s datedSlip) bool { return s.Day == meant }) {
			out = append(out, datedSlip{meant, slip})
		}
	}
	for year := from.Year; year <= to.Year; year++ {
		try(year, d.Month, d.Day, "another year was written")
	}
	try(d.Year, d.Day, d.Month, "day and month were exchanged")
	if to.Compare(from.Add(betweenTrips)) <= 0 {
		for month := range 12 {
			try(d.Year, month+1, d.Day, "another month was written")
		}
	}
	if from == to && (d.Day/10 == from.Day/10 || d.Day%10 == from.Day%10) {
		try(d.Year, d.Month, from.Day, "another digit of the day was written")
	}
	return out
}

func (o *dateOrder) findings() (out []record.Finding) {
	o.look()
	falling := o.down > o.up
	inOrder := o.slips(func(u *unorderedDay) bool { return falling && u.down || !falling && u.up })
	along, against := max(o.up, o.down)-len(inOrder), min(o.up, o.down)-len(inOrder)
	if stepsForEach*against <= along && stepsForEach*(len(inOrder)-1) <= along && along >= orderlySteps {
		return reportDays(inOrder)
	}
	if strays := o.slips(func(u *unorderedDay) bool { return u.stray }); stepsForEach*(o.returns-len(strays)) <= o.count {
		return reportDays(strays)
	}
	return nil
}

// slips are the days out of order that count, but for those next to each other: either
// may be the one that is in order.
func (o *dateOrder) slips(counts func(*unorderedDay) bool) (out []*unorderedDay) {
	for i := range o.unordered {
		switch u := &o.unordered[i]; {
		case !counts(u):
		case len(out) > 0 && out[len(out)-1].place == u.place-1:
			out = out[:len(out)-1]
		default:
			out = append(out, u)
		}
	}
	return out
}

func reportDays(days []*unorderedDay) (out []record.Finding) {
	for _, u := range days {
		out = append(out, u.report())
	}
	return out
}

func (u *unorderedDay) report() record.Finding {
	f := record.Finding{Rule: "date-out-of-order", Level: record.Warning, At: u.cells[0].Address, Also: u.others(), Capture: u.key, Field: "eventDate", Value: u.written,
		Reason: fmt.Sprintf("%s is out of order: the rows above are of %s, those below of %s", u.Day, u.before, u.after)}
	for i, s := range u.fits {
		f.Reason += fmt.Sprintf("%s%s would fit: %s", [...]string{"; ", ", or "}[min(i, 1)], s.Day, s.slip)
	}
	if len(u.fits) == 1 && u.alone {
		f.Suggestion = u.fits[0].String()
	}
	f.Gather(u.n)
	return f
}

// others are the cells of a day but for the first, as many as one finding names.
func (d *dayOfRows) others() (out []record.Address) {
	for _, run := range d.cells {
		for at := run.Address; at.Row <= run.Last && len(out) <= maxHeld.ofOne; at.Row++ {
			out = append(out, at)
		}
	}
	return out[1:]
}
