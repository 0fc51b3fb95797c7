package report

import (
	"strings"
	"time"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/wording"
)

// days counts the captures of each day by name. In a large survey names beyond
// maxNames are counted together, and where there are more than maxDays counts
// in the end, so are all but the most frequent.
type days struct {
	by     map[string]*dated // by their texts
	dates  wording.Known[*dated]
	counts int
}

const maxDays = 1 << 16

// dated is a day, and the captures that have its date.
type dated struct {
	day   float64
	wrong bool // it is called wrong, as one outside the survey is
	of    []dayCount
}

// dayCount counts the captures of a name on a day, and those whose date is doubted.
type dayCount struct {
	name           string
	plain, doubted int
}

// of returns the day of a date; nil for none.
func (ds *days) of(date *record.Value) *dated {
	if date == nil {
		return nil
	}
	return ds.dates.Of(date, ds.at)
}

// at returns the day of a date; nil if it has none.
func (ds *days) at(date string) *dated {
	if len(date) < len(time.DateOnly) {
		return nil
	}
	date = date[:len(time.DateOnly)]
	if on := ds.by[date]; on != nil {
		return on
	}
	d, ok := day(date)
	if !ok {
		return nil
	}
	if ds.by == nil {
		ds.by = map[string]*dated{}
	}
	on := &dated{day: d}
	ds.by[strings.Clone(date)] = on
	return on
}

// add counts captures of a name on a day.
func (ds *days) add(on *dated, name string, plain, doubted int) {
	for i := range on.of {
		if n := &on.of[i]; n.name == name {
			n.plain += plain
			n.doubted += doubted
			return
		}
	}
	on.of = append(on.of, dayCount{name, plain, doubted})
	ds.counts++
}

// numbers are the captures with a date by name.
func (ds *days) numbers() map[string]int {
	out := map[string]int{}
	for _, on := range ds.by {
		for _, n := range on.of {
			out[n.name] += n.plain + n.doubted
		}
	}
	return out
}

// lump counts all but the most frequent names together, with what was counted
// together before.
func (ds *days) lump(most int) {
	kept := map[string]bool{}
	for i, name := range frequent(ds.numbers()) {
		kept[name] = i < most
	}
	ds.counts = 0
	for _, on := range ds.by {
		was := on.of
		on.of = nil
		for _, n := range was {
			if !kept[n.name] {
				n.name = others
			}
			ds.add(on, n.name, n.plain, n.doubted)
		}
	}
}
