package plot

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// reach is how far a flagged mark may lie beyond the others, as a share of
// their range, and still be inside the picture.
const reach = 0.4

// Window returns the ends of an axis: what the unflagged marks span, a little
// more on both sides, and flagged marks that lie near. What lies far out is
// drawn at the edge, so that one slip doesn't squeeze everything else.
func Window(marks []Mark, get func(*Mark) float64, log bool) (lo, hi float64) {
	scale, back := func(v float64) float64 { return v }, func(v float64) float64 { return v }
	if log {
		scale, back = math.Log, math.Exp
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	spread := func(flagged bool, within func(v float64) bool) {
		for i := range marks {
			if v := get(&marks[i]); (marks[i].No != 0) == flagged && (!log || v > 0) && within(scale(v)) {
				lo, hi = math.Min(lo, scale(v)), math.Max(hi, scale(v))
			}
		}
	}
	spread(false, func(float64) bool { return true })
	if lo > hi {
		spread(true, func(float64) bool { return true })
	}
	if lo > hi {
		return 1, 10
	}
	a, b := lo, hi
	spread(true, func(v float64) bool { return v > a-reach*(b-a) && v < b+reach*(b-a) })
	if lo == hi {
		lo, hi = lo-math.Max(math.Abs(lo)*0.1, 0.1), hi+math.Max(math.Abs(hi)*0.1, 0.1)
	}
	pad := 0.04 * (hi - lo)
	return back(lo - pad), back(hi + pad)
}

// maxTicks bounds the intervals between round numbers on an axis.
const maxTicks = 5.5

// Tick is a marked value on an axis.
type Tick struct {
	Value float64
	Label string
}

// Ticker chooses the ticks of an axis from lo to hi.
type Ticker func(lo, hi float64) []Tick

// RoundTicks marks an axis at round numbers, three to six of them.
func RoundTicks(lo, hi float64, log bool) []Tick {
	values := evenly(lo, hi)
	if log && lo > 0 {
		at := func(v float64) float64 { return (math.Log(v) - math.Log(lo)) / (math.Log(hi) - math.Log(lo)) }
		if hi/lo > 8 {
			values = decades(lo, hi)
		}
		values = apart(values, at, 0.12)
	}
	ticks := make([]Tick, len(values))
	for i, v := range values {
		ticks[i] = Tick{v, TickText(v)}
	}
	return ticks
}

// evenly returns multiples of 1, 2 or 5 times a power of ten.
func evenly(lo, hi float64) []float64 {
	if !(hi > lo) {
		return []float64{lo}
	}
	least := (hi - lo) / maxTicks
	step := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 2, 5, 10} {
		if step*m >= least {
			step *= m
			break
		}
	}
	var out []float64
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi*(1+1e-12)+1e-12; k++ {
		v, err := strconv.ParseFloat(strconv.FormatFloat(k*step, 'g', 12, 64), 64)
		if err == nil {
			out = append(out, v+0) // no negative zero
		}
	}
	return out
}

// decades returns 1, 2 and 5 of every power of ten.
func decades(lo, hi float64) []float64 {
	var out []float64
	for e := math.Floor(math.Log10(lo)); e <= math.Ceil(math.Log10(hi)); e++ {
		for _, m := range []float64{1, 2, 5} {
			if v := m * math.Pow(10, e); v >= lo && v <= hi {
				out = append(out, v)
			}
		}
	}
	return out
}

// apart drops values that stand nearer to the one before than gap.
func apart(values []float64, at func(float64) float64, gap float64) []float64 {
	var out []float64
	for _, v := range values {
		if len(out) == 0 || at(v)-at(out[len(out)-1]) >= gap {
			out = append(out, v)
		}
	}
	return out
}

// TickText writes a number on an axis.
func TickText(v float64) string { return Minus(strconv.FormatFloat(v, 'f', -1, 64)) }

// Minus writes a number with a true minus.
func Minus(s string) string {
	if rest, negative := strings.CutPrefix(s, "-"); negative {
		return "−" + rest
	}
	return s
}

// DayTicks marks an axis of days since 1970 at the starts of months or years.
func DayTicks(lo, hi float64) []Tick {
	first, last := DayOf(lo), DayOf(hi)
	months, layout := 1, "Jan 2006"
	span := hi - lo
	if span <= 45 {
		return shortTicks(lo, hi)
	}
	for _, months = range []int{1, 2, 3, 6, 12} {
		if span/30.4/float64(months) <= 4.2 {
			break
		}
	}
	if span > 366*4 {
		months, layout = 12*int(math.Ceil(span/366/5)), "2006"
	}
	var out []Tick
	for t := time.Date(first.Year(), 1, 1, 0, 0, 0, 0, time.UTC); !t.After(last); t = t.AddDate(0, months, 0) {
		if v := DayNumber(t); v >= lo {
			out = append(out, Tick{v, t.Format(layout)})
		}
	}
	return out
}

// shortTicks marks days of few weeks.
func shortTicks(lo, hi float64) []Tick {
	step := math.Max(1, math.Ceil((hi-lo)/3.5))
	var out []Tick
	for v := math.Ceil(lo); v <= hi; v += step {
		out = append(out, Tick{v, DayOf(v).Format("2 Jan 2006")})
	}
	return out
}

// DayOf is the date of a number of days since 1970, and DayNumber the number of a time.
func DayOf(v float64) time.Time { return time.Unix(int64(v)*86400, 0).UTC() }

func DayNumber(t time.Time) float64 { return math.Floor(float64(t.Unix()) / 86400) }

// thin keeps every mark that an entry of the page doubts, or the first few of
// each where ofEntry says how many; at most that many of the doubtful marks
// without an entry, and at most that many others.
func thin(marks []Mark, x, y *Axis, most, ofEntry int) []Mark {
	of := map[int]int{}
	keep := make([]bool, len(marks))
	var plain, unlisted []int
	for i := range marks {
		switch marks[i].No {
		case 0:
			plain = append(plain, i)
		case Unshown:
			unlisted = append(unlisted, i)
		default:
			of[marks[i].No]++
			keep[i] = ofEntry == 0 || of[marks[i].No] <= ofEntry
		}
	}
	thinOut(keep, marks, plain, x, y, most)
	thinOut(keep, marks, unlisted, x, y, most)
	var out []Mark
	for i, k := range keep {
		if k {
			out = append(out, marks[i])
		}
	}
	return out
}

// thinOut keeps at most that many of some marks: first one from each small
// field of the picture, so that its outline stays, then as many of the rest as
// there is space for, evenly in the order of the captures.
func thinOut(keep []bool, marks []Mark, some []int, x, y *Axis, most int) {
	if len(some) <= most {
		for _, i := range some {
			keep[i] = true
		}
		return
	}
	type field struct {
		x, y int
		s    Shape
	}
	seen := map[field]bool{}
	var rest []int
	kept := 0
	for _, i := range some {
		m := &marks[i]
		f := field{x.part(m.X, 24), y.part(m.Y, 16), m.Style.Shape}
		if !seen[f] && kept < most {
			seen[f], keep[i] = true, true
			kept++
			continue
		}
		rest = append(rest, i)
	}
	for k := range most - kept {
		keep[rest[k*len(rest)/(most-kept)]] = true
	}
}

// part numbers equal parts of an axis.
func (a *Axis) part(v float64, parts int) int {
	lo, hi := a.Lo, a.Hi
	if a.Log {
		lo, hi, v = math.Log(lo), math.Log(hi), math.Log(v)
	}
	return int(math.Floor((v - lo) / (hi - lo) * float64(parts)))
}
