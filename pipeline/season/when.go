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
	number value // year, month and day as one number; 0 where the date is no single day
}

func (s Settings) dayOf(date string) day { return day{s.seasonOf(date), numberOf(date)} }

// maxDays bounds the dates that are remembered.
const maxDays = 1 << 14

// dayOf remembers what dates tell: most come again.
func (g *Gatherer) dayOf(date string) day {
	d, known := g.days[date]
	if !known {
		date = strings.Clone(date)
		d = g.settings.dayOf(date)
		if len(g.days) < maxDays {
			g.days[date] = d
		}
	}
	return d
}

// numberOf is the number of a day, 0 of what is none.
func numberOf(date string) value {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return 0
	}
	return value(t.Year()*10000 + int(t.Month())*100 + t.Day())
}

// date writes the number of a day as a date.
func date(number value) string {
	return fmt.Sprintf("%04d-%02d-%02d", number/10000, number/100%100, number%100)
}

// nightOf returns the day that a night began on: that of the capture, or where
// captures are of nights the day before it if the time is before noon.
func (s Settings) nightOf(d day, clock string) day {
	if !s.Night || d.number == 0 || len(clock) < 2 || clock[:2] >= "12" {
		return d
	}
	of := int(d.number)
	return s.dayOf(time.Date(of/10000, time.Month(of/100%100), of%100-1, 0, 0, 0, 0, time.UTC).Format(time.DateOnly))
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
