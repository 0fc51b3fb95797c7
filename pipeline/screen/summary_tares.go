package screen

import (
	"math"

	"spadefoot/pipeline/record/digest"
	"spadefoot/pipeline/statistics"
)

// maxSessions is the number of sessions whose bags are known apart, about
// 100 bytes each. Of more, as a survey of millions of captures may have, an even
// choice by hash is; the others go by the usual bag of the survey. That only
// matters for masses without a tare of their own.
const maxSessions = 1 << 17

// tareSummary is the masses of bags by session and in all.
type tareSummary struct {
	sessions map[uint64]*statistics.Sample // by hash
	chosen   uint64                        // sessions up to this hash
	all      statistics.Sample
}

func newTareSummary() tareSummary {
	return tareSummary{sessions: map[uint64]*statistics.Sample{}, chosen: math.MaxUint64}
}

// sessionMark is the hash that a session goes by.
func sessionMark(session string) uint64 { return digest.Spread(uint64(digest.Start.Text(session))) }

func (t *tareSummary) add(session string, mass float64) {
	t.all.Add(mass)
	if s := t.session(sessionMark(session)); s != nil {
		s.Add(mass)
	}
}

// session returns the bags of a session, nil if it is not of those chosen.
func (t *tareSummary) session(mark uint64) *statistics.Sample {
	if mark > t.chosen {
		return nil
	}
	s := t.sessions[mark]
	if s == nil {
		s = &statistics.Sample{}
		t.sessions[mark] = s
		t.choose(t.chosen)
	}
	return s
}

// choose keeps the sessions up to a hash, and fewer where these are too many.
func (t *tareSummary) choose(upTo uint64) {
	for len(t.sessions) > maxSessions {
		upTo /= 2
		for mark := range t.sessions {
			if mark > upTo {
				delete(t.sessions, mark)
			}
		}
	}
	t.chosen = upTo
}

func (t *tareSummary) merge(o *tareSummary) {
	t.all.Merge(&o.all)
	for mark, s := range o.sessions {
		if own := t.session(mark); own != nil {
			own.Merge(s)
		}
	}
	if o.chosen < t.chosen {
		for mark := range t.sessions {
			if mark > o.chosen {
				delete(t.sessions, mark)
			}
		}
		t.chosen = o.chosen
	}
}

// usual returns the median bag of every session of three or more, by hash, and of
// the survey; 0 where none is known.
func (t *tareSummary) usual() (sessions map[uint64]float64, any float64) {
	sessions = map[uint64]float64{}
	for mark, s := range t.sessions {
		if s.Len() >= 3 {
			sessions[mark] = s.Median()
		}
	}
	if t.all.Len() > 0 {
		any = t.all.Median()
	}
	return sessions, any
}
