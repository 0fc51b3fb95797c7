package season

import (
	"fmt"
	"strings"
	"time"
)

// ends are the first and the last date of an interval; of a single date twice
// the same.
func ends(date string) (first, last string) {
	first, last, both := strings.Cut(date, "/")
	if !both {
		return date, date
	}
	if len(last) < len(first) { // 2024-05-01/03: what is left out is as before
		last = first[:len(first)-len(last)] + last
	}
	return first, last
}

// day is what a date tells.
type day struct {
	season string
	number value  // year, month and day as one number; 0 where the date is no single day
	before string // the day before
}

// dayOf reads a date, most likely one that came before.
func (g *Gather) dayOf(date string) day {
	d, known := g.days[date]
	if known {
		return d
	}
	date = strings.Clone(date)
	d.season = g.settings.seasonOf(date)
	if t, err := time.Parse(time.DateOnly, date); err == nil {
		d.number = value(t.Year()*10000 + int(t.Month())*100 + t.Day())
		d.before = t.AddDate(0, 0, -1).Format(time.DateOnly)
	}
	if len(g.days) == maxDays {
		clear(g.days)
	}
	g.days[date] = d
	return d
}

// maxDays bounds the dates that are remembered.
const maxDays = 1 << 15

// date writes the number of a day as a date.
func date(number value) string {
	return fmt.Sprintf("%04d-%02d-%02d", number/10000, number/100%100, number%100)
}

// nightOf returns the day that a night began on: that of the capture, or where
// captures are of nights the day before it if the time is before noon.
func (g *Gather) nightOf(d day, clock string) day {
	if g.settings.Night && d.number > 0 && len(clock) >= 2 && clock[:2] < "12" {
		return g.dayOf(d.before)
	}
	return d
}

// daysBetween are the days from one date to another; false where one is no
// single day.
func daysBetween(first, second string) (int, bool) {
	a, err := time.Parse(time.DateOnly, first)
	b, err2 := time.Parse(time.DateOnly, second)
	if err != nil || err2 != nil {
		return 0, false
	}
	return int(b.Sub(a).Hours() / 24), true
}
