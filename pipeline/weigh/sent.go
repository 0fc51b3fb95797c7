//go:build !onemachine

package weigh

import (
	"bytes"
	"encoding/gob"
	"maps"
)

// sentTares is a summary on its way to another machine.
type sentTares struct {
	Counts   map[float64]int
	Octaves  map[int]int
	Sessions map[uint64]sentSession
	TooMany  bool // sessions
}

type sentSession struct {
	N         int
	Sum       int64
	Low, High float64
}

// GobEncode writes the summary down, and GobDecode reads it.
func (t *TareSummary) GobEncode() ([]byte, error) {
	s := sentTares{Counts: t.counts, Octaves: t.octaves}
	if t.judge != nil {
		s.TooMany, s.Sessions = t.judge.sessions == nil, map[uint64]sentSession{}
		for mark, o := range t.judge.sessions {
			s.Sessions[mark] = sentSession{o.n, o.sum, o.low, o.high}
		}
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(s)
	return b.Bytes(), err
}

// GobDecode reads what GobEncode wrote into an empty summary.
func (t *TareSummary) GobDecode(b []byte) error {
	var s sentTares
	if err := gob.NewDecoder(bytes.NewReader(b)).Decode(&s); err != nil || len(s.Counts) == 0 {
		return err
	}
	for mass, n := range s.Counts {
		t.add(mass, n)
	}
	maps.Copy(t.octaves, s.Octaves)
	if s.TooMany {
		t.judge.sessions = nil
	}
	for mark, o := range s.Sessions {
		if to := t.session(mark); to != nil {
			*to = session{o.N, o.Sum, o.Low, o.High}
		}
	}
	return nil
}
