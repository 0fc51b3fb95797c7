package normalise

import (
	"fmt"
	"strconv"
	"strings"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
)

// nextDay moves a capture to the day after where the survey says that its
// dates are those of the evening and the time is before noon.
func (r *row) nextDay(t *calendar.Time, c *record.Cell) {
	v := r.value(tEventDate)
	day := r.oneDay()
	if !r.x.Night || t.ISO == "" || t.Start.Hour >= 12 || day.IsZero() {
		return
	}
	written, verbatim, from := v.Text, v.Verbatim, v.From()
	r.put(tEventDate, day.Add(1).String(), verbatim, from).Vary(func(f *record.Field) { f.Remark = "of the night that began on " + written })
	r.put(tVerbatimEventDate, verbatim, "", from)
	r.problem(record.Problem{Rule: "time-after-midnight", Level: record.Note,
		Reason: "times before noon are of the day after the date that was written"}, c, "eventTime")
}

const nightUndecided = "night-undecided"

// nights looks for sessions with times late in the evening and early in the
// morning under one date, where nobody has decided what the date means.
type nights struct {
	late  map[string]bool
	early map[string]*smallHours
	order []string // dates in the order of their first time in the small hours
	most  int      // addresses named of one date, 0 for all
}

// smallHours are the times between midnight and morning under one date.
type smallHours struct {
	text  string // of the first, as written
	first record.Address
	also  []record.Address
}

func (n *nights) add(c *record.Capture) {
	v := c.Value("eventTime")
	if v == nil || len(v.Text) < 2 {
		return
	}
	date := c.Get("eventDate")
	hour, err := strconv.Atoi(v.Text[:2])
	if date == "" || err != nil || hour >= 6 && hour < 18 {
		return
	}
	if hour >= 18 {
		if !n.late[date] {
			if n.late == nil {
				n.late = map[string]bool{}
			}
			n.late[strings.Clone(date)] = true
		}
		return
	}
	e := n.early[date]
	switch {
	case e == nil:
		if n.early == nil {
			n.early = map[string]*smallHours{}
		}
		date = strings.Clone(date)
		n.order = append(n.order, date)
		n.early[date] = &smallHours{strings.Clone(v.Verbatim), v.From(), nil}
	case n.most == 0 || len(e.also) < n.most:
		e.also = append(e.also, v.From())
	}
}

func (n *nights) findings() []record.Finding {
	var fs []record.Finding
	for _, date := range n.order {
		if !n.late[date] {
			continue
		}
		e := n.early[date]
		fs = append(fs, record.Finding{Rule: nightUndecided, Level: record.Warning, At: e.first, Also: e.also, Field: "eventTime", Value: e.text,
			Reason: fmt.Sprintf("one date, such as %s, has times in the evening and after midnight: the latter may belong to the next day", date)})
	}
	return fs
}
