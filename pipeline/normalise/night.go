package normalise

import (
	"fmt"
	"strconv"

	"spadefoot/pipeline/calendar"
	"spadefoot/pipeline/record"
)

// nextDay moves a capture to the day after where the survey says that its
// dates are those of the evening and the time is before noon.
func (r *row) nextDay(t calendar.Time, c record.Cell) {
	v := r.capture.Value("eventDate")
	day := r.oneDay()
	if !r.x.Night || t.ISO == "" || t.Start.Hour >= 12 || day.IsZero() {
		return
	}
	moved := *v
	moved.Text = day.Add(1).String()
	moved.Remark = "of the night that began on " + v.Text
	r.capture.Set(moved)
	r.capture.Set(record.Value{Term: "verbatimEventDate", Text: v.Verbatim, From: v.From})
	r.problem(record.Problem{Rule: "time-after-midnight", Level: record.Note,
		Reason: "times before noon are of the day after the date that was written"}, c, "eventTime")
}

// pastMidnight looks for sessions with times late in the evening and early in
// the morning under one date, where nobody has decided what the date means.
func pastMidnight(captures []*record.Capture) []record.Finding {
	late := map[string]bool{}
	early := map[string][]*record.Value{}
	var order []string
	for _, c := range captures {
		date, v := c.Get("eventDate"), c.Value("eventTime")
		if date == "" || v == nil || len(v.Text) < 2 {
			continue
		}
		hour, err := strconv.Atoi(v.Text[:2])
		switch {
		case err != nil:
		case hour >= 18:
			late[date] = true
		case hour < 6:
			if early[date] == nil {
				order = append(order, date)
			}
			early[date] = append(early[date], v)
		}
	}
	var fs []record.Finding
	for _, date := range order {
		if !late[date] {
			continue
		}
		f := record.Finding{Rule: "night-undecided", Level: record.Warning, At: early[date][0].From, Field: "eventTime", Value: early[date][0].Verbatim,
			Reason: fmt.Sprintf("under the date %s stand times of the evening and of the small hours: the latter may belong to the day after", date)}
		for _, v := range early[date][1:] {
			f.Also = append(f.Also, v.From)
		}
		fs = append(fs, f)
	}
	return fs
}
