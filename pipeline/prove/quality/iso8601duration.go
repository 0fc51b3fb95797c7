package quality

import (
	"strings"
	"time"
)

// duration is an ISO 8601 duration in whole units: PnYnMnWnDTnHnMnS.
type duration struct {
	years, months, days int
	seconds             float64
	timed               bool
}

func parseDuration(text string) (duration, bool) {
	var d duration
	if len(text) < 3 || text[0] != 'P' {
		return d, false
	}
	const order = "YMWDhms" // h, m, s stand for the units after T
	last, seen := -1, false
	for i := 1; i < len(text); {
		if text[i] == 'T' {
			if d.timed || i == len(text)-1 {
				return d, false
			}
			d.timed = true
			i++
			continue
		}
		n, from := 0, i
		for i < len(text) && text[i] >= '0' && text[i] <= '9' && i-from < 9 {
			n = n*10 + int(text[i]-'0')
			i++
		}
		if i == from || i == len(text) {
			return d, false
		}
		unit := text[i]
		if d.timed {
			unit += 'a' - 'A'
		}
		at := strings.IndexByte(order, unit)
		if at <= last || !d.add(unit, n) {
			return d, false
		}
		last, seen = at, true
		i++
	}
	return d, seen
}

func (d *duration) add(unit byte, n int) bool {
	switch unit {
	case 'Y':
		d.years = n
	case 'M':
		d.months = n
	case 'W':
		d.days += 7 * n
	case 'D':
		d.days += n
	case 'h':
		d.seconds += float64(n) * 3600
	case 'm':
		d.seconds += float64(n) * 60
	case 's':
		d.seconds += float64(n)
	default:
		return false
	}
	return true
}

// after is the interval of this duration that begins with a point.
func (d duration) after(start point) interval {
	moved := start.first.AddDate(d.years, d.months, d.days)
	begin := start.begins()
	end := float64(moved.Unix()) + start.seconds - float64(start.zone) + d.seconds
	return d.span(start, begin, end, start.zone)
}

// before is the interval of this duration that ends with a point.
func (d duration) before(end point) interval {
	stop := end.ends(false)
	moved := time.Unix(int64(stop), 0).UTC().AddDate(-d.years, -d.months, -d.days)
	return d.span(end, float64(moved.Unix())-d.seconds, stop, end.zone)
}

func (d duration) span(p point, begin, end float64, zone int) interval {
	dayOf := func(t float64) time.Time {
		return time.Unix(int64(t)+int64(zone), 0).UTC().Truncate(24 * time.Hour)
	}
	iv := interval{precision: p.precision, isRange: true, start: begin, end: end, first: dayOf(begin), last: dayOf(end)}
	if p.precision <= toDay && !d.timed && end > begin {
		iv.last = dayOf(end - 1) // the end is not included
	}
	return iv
}
