package calendar

import (
	"time"

	"spadefoot/pipeline/record"
)

// Options say what is known of a column and of the survey.
type Options struct {
	Order       Order
	SixDigits   bool // days without marks between their parts are in that order too: 210603
	FirstYear   int  // the survey's years, for two-digit years; 0 if unknown
	LastYear    int  //
	From, To    Day  // days of the survey; a date outside is a problem; zero for none
	Latest      Day  // the last day that is possible; zero for none
	Date1904    bool // day numbers count from 1904-01-01
	Hemisphere  byte // 'N' or 'S' for seasons, 0 if unknown
	Zone        *time.Location
	DefaultYear int // the year of dates that have none, 0 for no such year
}

// Date is one date or range as read. ISO is "" if nothing can be published:
// "2021-06-03", "2021-06", "2021", "2021-06-03/2021-06-05",
// "2021-06-03T21:30-04:00". Start and End are its first and last day.
type Date struct {
	ISO        string
	Start, End Day
	Precision  Precision
	Season     string // spring, summer, autumn, winter, wet season, dry season
	Missing    bool   // nothing was written, or a word for it
	Doubtful   bool   // the writer doubted it
	Wrong      bool   // it cannot be true: outside the survey, or after the last possible day
	Remark     string // what was beside the date
	Problems   []record.Problem
}

// single reports whether the date is one day.
func (d Date) singleDay() bool {
	return d.ISO != "" && d.Precision >= ToDay && d.Start == d.End
}

func (d *Date) problem(rule, reason, suggestion string) {
	d.Problems = append(d.Problems, record.Problem{
		Rule: rule, Level: levels[rule], Reason: reason, Suggestion: suggestion,
	})
}
