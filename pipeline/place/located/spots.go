package located

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/place"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/digest"
)

// maxSpots bounds the places that the survey's region is taken from.
const maxSpots = 20_000

// Spots are the places of captures, of many those up to a hash of their
// identifiers: which ones does not depend on the order they come in.
type Spots struct {
	UpTo uint64
	At   []Spot
}

// Spot is a place with the hashes of its capture and of its name.
type Spot struct {
	Hash, Site uint64
	Place      place.LatLon
}

// NewSpots begins with none.
func NewSpots() Spots { return Spots{UpTo: math.MaxUint64} }

// Add takes the place of a capture, if it has one. Of many captures most are not asked.
func (s *Spots) Add(c *record.Capture, at Positions) {
	hash := digest.Spread(uint64(digest.Start.Text(c.ID)))
	if hash > s.UpTo {
		return
	}
	if p := at.Of(c); p.Known() {
		s.join([]Spot{{hash, siteOf(c), place.LatLon{Latitude: p.Latitude, Longitude: p.Longitude}}})
	}
}

// siteOf is a hash of what the place of a capture is called, 0 if it has no name.
func siteOf(c *record.Capture) uint64 {
	if name := nameOf(c); name != "" {
		return uint64(digest.Start.Text(name))
	}
	return 0
}

func nameOf(c *record.Capture) string {
	return cmp.Or(c.Get("locality"), c.Get("locationID"), c.Get("verbatimLocality"))
}

// Sites are the regions of captures whose places are called the same.
type Sites map[uint64]*place.Region

// How many captures tell where a site is, how far apart their places may always be, in
// metres, and one in how many may be far from the others before the name stands for
// several places.
const (
	fewestAtSite = 10
	siteReach    = 100
	strayAtSite  = 50
)

// Sites are those that enough places tell of.
func (s *Spots) Sites() Sites {
	at := map[uint64][]place.LatLon{}
	for _, o := range s.At {
		if o.Site != 0 {
			at[o.Site] = append(at[o.Site], o.Place)
		}
	}
	out := Sites{}
	for site, places := range at {
		if len(places) < fewestAtSite {
			continue
		}
		r, far := place.NewRegion(places, siteReach), 0
		for _, p := range places {
			if r.Far(p) {
				far++
			}
		}
		if far <= max(1, len(places)/strayAtSite) {
			out[site] = &r
		}
	}
	return out
}

// Join takes the places of other captures.
func (s *Spots) Join(o Spots) {
	s.UpTo = min(s.UpTo, o.UpTo)
	own := s.At
	s.At = nil
	s.join(own)
	s.join(o.At)
}

func (s *Spots) join(more []Spot) {
	for _, o := range more {
		if o.Hash <= s.UpTo {
			s.At = append(s.At, o)
		}
	}
	for len(s.At) > maxSpots {
		s.UpTo /= 2
		s.At = slices.DeleteFunc(s.At, func(o Spot) bool { return o.Hash > s.UpTo })
	}
}

// Places are the places.
func (s *Spots) Places() []place.LatLon {
	out := make([]place.LatLon, len(s.At))
	for i, o := range s.At {
		out[i] = o.Place
	}
	return out
}
