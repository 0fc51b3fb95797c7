//go:build !onemachine

package weigh

import (
	"bytes"
	"cmp"
	"encoding/gob"
	"maps"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// sentTares is a summary on its way to another machine. Its sessions go apart.
type sentTares struct {
	Tares   *statistics.Sample
	Octaves map[int]int
}

// GobEncode writes the summary down, but for its sessions, and GobDecode reads it.
func (t *TareSummary) GobEncode() ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(sentTares{&t.tares, t.octaves})
	return b.Bytes(), err
}

// GobDecode reads what GobEncode wrote into an empty summary.
func (t *TareSummary) GobDecode(b []byte) error {
	var s sentTares
	if err := gob.NewDecoder(bytes.NewReader(b)).Decode(&s); err != nil || s.Tares.Len() == 0 {
		return err
	}
	t.begin()
	t.tares = *s.Tares
	maps.Copy(t.octaves, s.Octaves)
	return nil
}

// Session is what is known of the tares of a session.
type Session struct {
	Mark      uint64 // its hash
	N         int
	Sum       int64
	Low, High float64
}

func (s *session) sent(mark uint64) Session { return Session{mark, s.n, s.sum, s.low, s.high} }

func (s *Session) received() *session { return &session{s.N, s.Sum, s.Low, s.High} }

// Sessions are what a part has of sessions, by group.
type Sessions map[string][]Session

// Sessions are those of a part, in drawers.
func (t Tares) Sessions(drawer func(group string, mark uint64) int) map[int]Sessions {
	out := map[int]Sessions{}
	for group, tares := range t {
		if tares.judge == nil {
			continue
		}
		for _, mark := range slices.Sorted(maps.Keys(tares.judge.sessions)) {
			at := drawer(group, mark)
			if out[at] == nil {
				out[at] = Sessions{}
			}
			out[at][group] = append(out[at][group], tares.judge.sessions[mark].sent(mark))
		}
	}
	return out
}

// Across is what parts need to know of the sessions of others. Most sessions are in
// one part, which knows them by itself.
type Across struct {
	Sessions Sessions       // of several parts, joined
	Count    map[string]int // of all sessions, by group
}

// Across joins what parts have of the sessions of a drawer.
func (s Sessions) Across() Across {
	a := Across{Sessions{}, map[string]int{}}
	for group, all := range s {
		slices.SortFunc(all, func(a, b Session) int { return cmp.Compare(a.Mark, b.Mark) })
		for i, n := 0, 0; i < len(all); i += n {
			one := all[i].received()
			for n = 1; i+n < len(all) && all[i+n].Mark == all[i].Mark; n++ {
				one.merge(all[i+n].received())
			}
			a.Count[group]++
			if _, of := one.centre(); n > 1 && of > 0 { // else it says nothing, or no more than the part
				a.Sessions[group] = append(a.Sessions[group], one.sent(all[i].Mark))
			}
		}
	}
	return a
}

// Add adds what other parts have.
func (s Sessions) Add(o Sessions) {
	for group, some := range o {
		s[group] = append(s[group], some...)
	}
}

// Join adds what is known of the sessions of another drawer.
func (a *Across) Join(o Across) {
	if a.Count == nil {
		a.Sessions, a.Count = Sessions{}, map[string]int{}
	}
	a.Sessions.Add(o.Sessions)
	for group, n := range o.Count {
		a.Count[group] += n
	}
}

// Known is what a part judges tares by: those of all parts, and the sessions of some.
type Known struct {
	all      Tares
	sessions map[string]map[uint64]*session
	count    map[string]int
}

// Knowing are the tares of all parts, but for the sessions, with those that are of
// several parts.
func Knowing(all Tares, a Across) *Known {
	k := &Known{all, map[string]map[uint64]*session{}, a.Count}
	for group, all := range a.Sessions {
		k.sessions[group] = map[uint64]*session{}
		for i := range all {
			k.sessions[group][all[i].Mark] = all[i].received()
		}
	}
	return k
}

// Of are the tares of all parts with the sessions of one part's animals.
func (k *Known) Of(animals []*record.Capture) Tares {
	out := Tares{}
	for _, c := range animals {
		out.Add(c)
	}
	for group, own := range out {
		all := k.all[group]
		if all == nil || all.judge == nil || own.judge == nil {
			continue
		}
		sessions := own.judge.sessions
		for mark := range sessions {
			if s := k.sessions[group][mark]; s != nil {
				sessions[mark] = s
			}
		}
		if k.count[group] > maxSessions {
			sessions = nil
		}
		judge := &tareJudge{sessions: sessions, settled: true}
		judge.centre, judge.scale = all.settle()
		out[group] = &TareSummary{tares: all.tares, octaves: all.octaves, judge: judge}
	}
	return out
}
