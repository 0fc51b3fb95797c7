//go:build !onemachine

package screen

import (
	"bytes"
	"encoding/gob"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// What is known of captures goes between machines: GobEncode writes it down, and
// GobDecode adds what was written to an empty one.

func gobbed(v any) ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(v)
	return b.Bytes(), err
}

func ungobbed(b []byte, v any) error { return gob.NewDecoder(bytes.NewReader(b)).Decode(v) }

type sentSummary struct {
	MaxRows      int
	Captures     int
	Taxa         []sentTaxon
	Measurements []sentMeasurement
	Bags         statistics.Sample
	Sessions     [][]sessionBag
	Chosen       uint64
	Octaves      map[int]*statistics.Sample
}

type sentTaxon struct {
	Name     string
	Captures int
	Groups   []sentGroup
	Kept     []sentObservation
}

type sentGroup struct {
	Stage, Sex string
	Names      []string
	Values     []*statistics.Sample
}

type sentObservation struct {
	Hash, Observer uint64
	Stage, Sex     string
	Names          []string
	Logs           []float64
}

type sentMeasurement struct {
	Name     string
	Kind     dimension
	Decimals [][2]int
	Pairs    statistics.Sample
	Steps    *stepCounts
	StepsBy  map[uint64]*stepCounts
	Repeats  *repeatSum
	RepeatBy map[uint64]*repeatSum
}

// GobEncode writes the summary down.
func (s *Summary) GobEncode() ([]byte, error) {
	out := sentSummary{MaxRows: s.settings.MaxRows, Captures: s.captures, Bags: s.tares.all, Sessions: s.tares.sessions[:], Chosen: s.tares.chosen, Octaves: s.tares.octaves}
	for name, t := range s.taxa {
		to := sentTaxon{Name: name, Captures: t.captures}
		for _, g := range t.groups {
			one := sentGroup{Stage: g.stage, Sex: g.sex}
			for i := range g.slots {
				one.Names, one.Values = append(one.Names, g.slots[i].name), append(one.Values, &g.slots[i].values)
			}
			to.Groups = append(to.Groups, one)
		}
		for _, o := range t.kept {
			to.Kept = append(to.Kept, sentObservation{o.hash, o.observer, o.stage, o.sex, o.names, o.logs})
		}
		out.Taxa = append(out.Taxa, to)
	}
	for name, m := range s.measurements {
		to := sentMeasurement{Name: name, Kind: m.kind, Pairs: m.pairs, Steps: &m.steps.rest, StepsBy: m.steps.observers, Repeats: &m.repeats.rest, RepeatBy: m.repeats.observers}
		for _, d := range m.decimals {
			to.Decimals = append(to.Decimals, [2]int{d.decimals, d.readings})
		}
		out.Measurements = append(out.Measurements, to)
	}
	return gobbed(&out)
}

// GobDecode reads what GobEncode wrote; Under then says what it is judged by.
func (s *Summary) GobDecode(b []byte) error {
	var in sentSummary
	if err := ungobbed(b, &in); err != nil {
		return err
	}
	if s.words == nil { // made by gob itself: it can be merged into another, which has settings
		fresh := NewSummary(Settings{MaxRows: in.MaxRows})
		s.settings, s.words, s.taxa, s.measurements, s.tares = fresh.settings, fresh.words, fresh.taxa, fresh.measurements, fresh.tares
	}
	s.captures = in.Captures
	for i := range in.Measurements {
		from := &in.Measurements[i]
		m := s.measurement(from.Name)
		m.kind, m.pairs = from.Kind, from.Pairs
		m.steps.rest, m.steps.observers = *from.Steps, from.StepsBy
		m.repeats.rest, m.repeats.observers = *from.Repeats, from.RepeatBy
		for _, d := range from.Decimals {
			m.count(d[0], d[1])
		}
	}
	for i := range in.Taxa {
		from := &in.Taxa[i]
		t := s.taxon(from.Name)
		t.captures = from.Captures
		for _, g := range from.Groups {
			to := t.group(s.words, groupKey{g.Stage, g.Sex})
			for k, name := range g.Names {
				to.slot(s, name, k).values.Merge(g.Values[k])
			}
		}
		for _, o := range from.Kept {
			t.kept = append(t.kept, observation{o.Hash, o.Observer, s.words.keep(o.Stage), s.words.keep(o.Sex), o.Names, o.Logs})
		}
	}
	s.tares.all, s.tares.chosen = in.Bags, in.Chosen
	for _, bags := range in.Sessions {
		for _, b := range bags {
			s.tares.hold(b)
		}
	}
	for octave, bags := range in.Octaves {
		s.tares.octaves[octave] = bags
	}
	return nil
}

// GobEncode and GobDecode of the counts of steps and of the sums of repeats.
func (c *stepCounts) GobEncode() ([]byte, error) {
	return gobbed([][]int{{c.n}, c.multiples[:], c.decimals[:]})
}

func (c *stepCounts) GobDecode(b []byte) error {
	var n [][]int
	err := ungobbed(b, &n)
	if err == nil {
		c.n = n[0][0]
		copy(c.multiples[:], n[1])
		copy(c.decimals[:], n[2])
	}
	return err
}

func (r *repeatSum) GobEncode() ([]byte, error) { return gobbed([2]uint64{r.squares, r.freedom}) }

func (r *repeatSum) GobDecode(b []byte) error {
	var n [2]uint64
	err := ungobbed(b, &n)
	r.squares, r.freedom = n[0], n[1]
	return err
}

type sentBags struct {
	Chosen   uint64
	Sessions map[uint64]*sentSession
}

type sentSession struct {
	Session string
	Masses  []sentMass
}

type sentMass struct {
	Capture, At                             record.Address
	Key, Verbatim, Text, Tared              string
	Bag, Value, Square, Gained, Inverse, Nu float64
	Cells                                   int
}

// GobEncode writes down what was added and not what was settled of it.
func (b *bags) GobEncode() ([]byte, error) {
	out := sentBags{Chosen: b.chosen, Sessions: map[uint64]*sentSession{}}
	for mark, u := range b.sessions {
		to := &sentSession{Session: u.session}
		for i := range u.masses {
			m := &u.masses[i]
			to.Masses = append(to.Masses, sentMass{m.capture, m.at, m.key, m.verbatim, m.text, m.tared, m.bag, m.value, m.square, m.gained, m.inverse, m.nu, m.cells})
		}
		out.Sessions[mark] = to
	}
	return gobbed(&out)
}

func (b *bags) GobDecode(block []byte) error {
	var in sentBags
	if err := ungobbed(block, &in); err != nil {
		return err
	}
	*b = *newBags(b.settings)
	b.chosen = in.Chosen
	for mark, from := range in.Sessions {
		to := &untared{session: from.Session}
		for _, m := range from.Masses {
			to.masses = append(to.masses, untaredMass{capture: m.Capture, at: m.At, key: m.Key, verbatim: m.Verbatim, text: m.Text, tared: m.Tared,
				bag: m.Bag, value: m.Value, square: m.Square, gained: m.Gained, inverse: m.Inverse, nu: m.Nu, cells: m.Cells})
		}
		b.sessions[mark] = to
		b.masses += len(to.masses)
	}
	return nil
}

type sentKinds struct {
	Names []string
	Of    []dimension
}

// GobEncode and GobDecode of measurements with their dimensions.
func (k kinds) GobEncode() ([]byte, error) { return gobbed(&sentKinds{k.names, k.of}) }

func (k *kinds) GobDecode(block []byte) error {
	var in sentKinds
	err := ungobbed(block, &in)
	k.names, k.of = in.Names, in.Of
	return err
}
