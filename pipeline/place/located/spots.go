package located

import (
	"math"
	"slices"

	"spadefoot/pipeline/place"
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

// Spot is a place with the hash of its capture.
type Spot struct {
	Hash  uint64
	Place place.LatLon
}

// NewSpots begins with none.
func NewSpots() Spots { return Spots{UpTo: math.MaxUint64} }

// Add takes the place of a capture.
func (s *Spots) Add(id string, p place.Point) {
	s.join([]Spot{{digest.Spread(uint64(digest.Start.Text(id))), place.LatLon{Latitude: p.Latitude, Longitude: p.Longitude}}})
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
