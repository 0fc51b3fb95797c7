package report

import (
	"math"

	"spadefoot/pipeline/record/digest"
	"strings"
)

// maxSites bounds the places of a large survey. Where there are more, those
// are kept whose own hash is low, each with all of its captures, and the
// number of places is known with a standard error of about 1 %.
const maxSites = 16_384

// site is one place with the captures there.
type site struct {
	spot Spot
	n    int
	at   int // index in sites.all, -1 where it is not counted
}

// sites are the places of the captures, in the order in which they first came.
type sites struct {
	by     map[Spot]*site
	all    []*site
	placed int    // captures
	limit  uint64 // hashes above it are left out; 0 for none left out
}

// at returns the place of a capture and counts it.
func (ss *sites) at(spot Spot, large bool) *site {
	ss.placed++
	st := ss.by[spot]
	if st == nil {
		if ss.by == nil {
			ss.by = map[Spot]*site{}
		}
		spot.Name = strings.Clone(spot.Name)
		st = &site{spot: spot, at: -1}
		if ss.limit == 0 || spot.hash() <= ss.limit {
			st.at = len(ss.all)
			ss.by[spot], ss.all = st, append(ss.all, st)
		}
	}
	st.n++
	if large && len(ss.all) > maxSites {
		ss.halve()
	}
	return st
}

// halve leaves the half of the places out whose hashes are high.
func (ss *sites) halve() {
	if ss.limit == 0 {
		ss.limit = math.MaxUint64
	}
	ss.limit /= 2
	kept := ss.all[:0]
	for _, st := range ss.all {
		if st.spot.hash() > ss.limit {
			st.at = -1
			delete(ss.by, st.spot)
			continue
		}
		st.at = len(kept)
		kept = append(kept, st)
	}
	clear(ss.all[len(kept):])
	ss.all = kept
}

// number is that of all places, with those left out as far as that is known.
func (ss *sites) number() (n int, exact bool) {
	if ss.limit == 0 {
		return len(ss.all), true
	}
	share := float64(ss.limit) / math.MaxUint64
	return int(math.Round(float64(len(ss.all)) / share)), false
}

func (s Spot) hash() uint64 {
	return digest.Spread(digest.Spread(math.Float64bits(s.Latitude)) ^ math.Float64bits(s.Longitude))
}
