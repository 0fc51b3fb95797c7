package screen

import (
	"cmp"
	"math"
	"slices"

	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/statistics"
)

// maxSessions is the number of sessions whose bags are known apart, about
// 100 bytes each. Of more, as a survey of millions of captures may have, an even
// choice by hash is; the others go by the usual bag of the survey. That only
// matters for masses without a tare of their own.
const maxSessions = 1 << 17

// tareSummary is the masses of bags by session, by how heavy the animal is, and
// in all: small animals may go into small bags.
type tareSummary struct {
	sessions [drawers][]sessionBag      // by the first bits of their hashes
	held     int                        // of these
	most     int                        // up to so many they are not yet put together
	chosen   uint64                     // sessions up to this hash
	octaves  map[int]*statistics.Sample // by octave of the animal's mass
	all      statistics.Sample
}

// sessionBag is how often a bag was used in a session, or for the animals of an octave
// there.
type sessionBag struct {
	Mark  uint64 // the hash of that
	Bag   float64
	Times int
}

func (b sessionBag) compare(o sessionBag) int {
	if b.Mark != o.Mark {
		return cmp.Compare(b.Mark, o.Mark)
	}
	return cmp.Compare(b.Bag, o.Bag)
}

// fewBags is the number of bags up to which they are not put together.
const fewBags = 1 << 18

func newTareSummary() tareSummary {
	return tareSummary{most: fewBags, octaves: map[int]*statistics.Sample{}, chosen: math.MaxUint64}
}

// octaveOf is the power of two that a mass in grams lies above; noOctave of an
// animal of which no mass is known.
func octaveOf(mass float64) int {
	if !(mass > 0) {
		return noOctave
	}
	return math.Ilogb(mass)
}

const noOctave = math.MinInt

// octaveMark is the hash that animals of an octave of a session go by.
func octaveMark(session uint64, octave int) uint64 {
	return digest.Spread(session + uint64(octave) + 1)
}

// sessionMark is the hash that a session goes by.
func sessionMark(session string) uint64 { return digest.Spread(uint64(digest.Start.Text(session))) }

// add takes a bag in, and the mass of the animal that was in it; 0 where that is
// not known.
func (t *tareSummary) add(session string, bag, animal float64) {
	t.all.Add(bag)
	mark := sessionMark(session)
	t.hold(sessionBag{mark, bag, 1})
	if animal > 0 {
		octave := octaveOf(animal)
		t.octave(octave).Add(bag)
		t.hold(sessionBag{octaveMark(mark, octave), bag, 1})
	}
}

// hold keeps a bag, if its session is one of those chosen.
func (t *tareSummary) hold(b sessionBag) {
	if b.Mark > t.chosen {
		return
	}
	at := &t.sessions[b.Mark>>56]
	*at = append(*at, b)
	if t.held++; t.held > t.most {
		t.choose()
		t.most = max(fewBags, 2*t.held)
	}
}

func (t *tareSummary) octave(octave int) *statistics.Sample {
	s := t.octaves[octave]
	if s == nil {
		s = &statistics.Sample{}
		t.octaves[octave] = s
	}
	return s
}

// choose puts equal bags together, and keeps the sessions up to a hash where there are
// too many.
func (t *tareSummary) choose() {
	for t.together() > maxSessions {
		t.chosen /= 2
	}
}

// together puts equal bags of the chosen sessions together, in ascending order, and
// returns the number of these sessions.
func (t *tareSummary) together() (sessions int) {
	var counts [drawers]int
	eachOf(drawers, func(i int) {
		slices.SortFunc(t.sessions[i], sessionBag.compare)
		out := t.sessions[i][:0]
		for _, b := range t.sessions[i] {
			n := len(out) - 1
			switch {
			case b.Mark > t.chosen:
			case n >= 0 && out[n].compare(b) == 0:
				out[n].Times += b.Times
			default:
				if n < 0 || out[n].Mark != b.Mark {
					counts[i]++
				}
				out = append(out, b)
			}
		}
		t.sessions[i] = out
	})
	t.held = 0
	for i := range counts {
		sessions += counts[i]
		t.held += len(t.sessions[i])
	}
	return sessions
}

func (t *tareSummary) merge(o *tareSummary) {
	t.all.Merge(&o.all)
	for octave, s := range o.octaves {
		t.octave(octave).Merge(s)
	}
	t.chosen = min(t.chosen, o.chosen)
	for i := range o.sessions {
		for _, b := range o.sessions[i] {
			t.hold(b)
		}
	}
}

// usualTares are the median bags that a mass without a bag of its own goes by.
type usualTares struct {
	sessions map[uint64]float64 // of three or more, by hash as in tareSummary
	octaves  map[int]float64    // of MinGroup or more, where small animals go into other bags than large ones
	any      float64            // of the survey; 0 where none is known
}

// maxForEachNet bounds what the rarity of masses without gross and bag makes of one.
const maxForEachNet = 20

// weighedForEachNet is how many masses have a gross and a bag for each that was written
// by itself, 1 at least. A mass with the bag in stands where the others would have both,
// so that the fewer are written by themselves the likelier one of them is that.
func (s *Summary) weighedForEachNet() float64 {
	m := s.measurements[bodyMass]
	if m == nil {
		return 1
	}
	nets := m.steps.all().n
	if nets == 0 {
		return 1
	}
	return min(max(1, float64(s.tares.all.Len())/float64(nets)), maxForEachNet)
}

// otherBag is the difference of logs from which the bags of an octave are of
// another size than those of the survey.
const otherBag = 0.2

func (t *tareSummary) usual(s Settings) usualTares {
	u := usualTares{sessions: map[uint64]float64{}, octaves: map[int]float64{}}
	t.choose()
	for i := range t.sessions {
		for all := t.sessions[i]; len(all) > 0; {
			n, times := 0, 0
			for ; n < len(all) && all[n].Mark == all[0].Mark; n++ {
				times += all[n].Times
			}
			if times >= 3 {
				u.sessions[all[0].Mark] = (ranked(all, (times-1)/2) + ranked(all, times/2)) / 2
			}
			all = all[n:]
		}
	}
	if t.all.Len() == 0 {
		return u
	}
	u.any = t.all.Median()
	bySize := false
	for octave, bags := range t.octaves {
		if bags.Len() >= s.MinGroup {
			u.octaves[octave] = bags.Median()
			bySize = bySize || math.Abs(math.Log(bags.Median()/u.any)) > otherBag
		}
	}
	if !bySize {
		clear(u.octaves)
	}
	return u
}

// ranked returns the k-th smallest of bags in ascending order, from 0.
func ranked(bags []sessionBag, k int) float64 {
	for k >= bags[0].Times {
		k, bags = k-bags[0].Times, bags[1:]
	}
	return bags[0].Bag
}

// of returns the usual bag of an animal: the median of those that animals about
// as heavy had in the session, of those that they have in the survey where small
// animals go into other bags than large ones, of the session, or of the survey; 0
// where none is known.
func (u *usualTares) of(session uint64, animal float64) float64 {
	return u.inOctave(session, octaveOf(animal))
}

func (u *usualTares) inOctave(session uint64, octave int) float64 {
	if octave != noOctave {
		if bag, ok := u.sessions[octaveMark(session, octave)]; ok {
			return bag
		}
		if bag, ok := u.octaves[octave]; ok {
			return bag
		}
	}
	if bag, ok := u.sessions[session]; ok {
		return bag
	}
	return u.any
}

// within returns the usual bag of an animal that weighs so much with its bag: the
// largest that an animal as heavy as what is left has.
func (u *usualTares) within(session uint64, gross float64) float64 {
	top := octaveOf(gross)
	first := u.inOctave(session, top)
	for octave := top; octave > top-octavesWithin; octave-- {
		if bag := u.inOctave(session, octave); bag < gross && octaveOf(gross-bag) == octave {
			return bag
		}
	}
	return first
}

// octavesWithin is how many octaves lighter than with its bag an animal may be.
const octavesWithin = 5
