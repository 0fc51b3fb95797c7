package normalise

import (
	"strings"
	"sync"

	"spadefoot/pipeline/place"
)

// number returns the number of a way in which places are read, from 1, or 0 where
// there are too many to remember. Most rows are read as the one before.
func (r *row) number(o place.Options, paired bool) int {
	if way := (placeWay{o, paired}); r.numbered == 0 || way != r.way {
		r.way, r.numbered = way, r.columns.ways.number(way)
	}
	return r.numbered
}

// placeWay is how a place is read.
type placeWay struct {
	place.Options
	paired bool
}

// ways numbers the ways in which the places of a table are read, so that what
// is remembered of each place need not hold them.
type ways struct {
	mu  sync.Mutex
	all map[placeWay]int
}

func (w *ways) number(way placeWay) int {
	w.mu.Lock()
	defer w.mu.Unlock()
	if n := w.all[way]; n > 0 || len(w.all) >= maxWays {
		return n
	}
	if w.all == nil {
		w.all = map[placeWay]int{}
	}
	for _, s := range []*string{&way.Datum, &way.Zone, &way.System, &way.LetterO, &way.CountryCode} {
		*s = strings.Clone(*s) // it may be that of a cell
	}
	w.all[way] = len(w.all) + 1
	return len(w.all)
}
