//go:build !onemachine

package infer

import (
	"bytes"
	"encoding/binary"
	"encoding/gob"
	"errors"
	"maps"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/statistics"
)

// Several machines add parts and judge them:
//
//	x.Fresh; x.Add;  x.Seen, x.Standing            every part
//	x.Join what was seen, in any order; x.Seen      to hand it on joined
//	x.Join, once; x.Another, and its Judge         every part, where Learn says so
//	x.Join; x.Take what was compared; x.Settle     one machine; x.Lines
//	x.Receive                                      every part: its readings

// Fresh is an inference that has seen nothing, for captures the first of which has a
// number.
func (x *Inference) Fresh(first int) *Inference {
	y := &Inference{settings: x.settings, verified: x.verified, specimens: x.specimens, comparisons: comparisons{}, overlaps: overlaps{}, most: x.most, first: first}
	y.lineages = lineages{settings: &y.settings, rules: x.lineages.rules, known: map[naming]*lineage{}}
	return y
}

// sentSeen is what Add gathered, on its way.
type sentSeen struct {
	All, Unsure int
	Groups      []sentGroup
	Examples    []sentExample
	Comparisons map[string]*sentComparison
	Overlaps    overlaps
}

type sentGroup struct {
	Name, Species string
	At            record.Address
	N             int
	Counts        [doubts]int
	Units         []unitPair
	Bodies        []sentBody
}

type sentBody struct {
	Hash         uint64
	Length, Mass float64
	N            uint32
	Units        uint16
}

type sentExample struct {
	ID           identity
	N            int32
	Taxon, Stage string
	Names        []string
	Logs         []float64
}

type sentComparison struct {
	At   record.Address
	Taxa map[string]bool
	N    int
	Sets []sentSet
}

type sentSet struct {
	Names []string
	N     int
}

// Seen writes down what Add gathered.
func (x *Inference) Seen() ([]byte, error) {
	out := sentSeen{All: x.all, Unsure: x.training.unsure, Comparisons: map[string]*sentComparison{}, Overlaps: x.overlaps}
	for _, g := range x.groups() {
		to := sentGroup{Name: g.Name, Species: g.species, At: g.at, N: g.n, Counts: g.counts, Units: g.units}
		g.bodies.trim(x.most)
		for _, b := range g.bodies.items {
			to.Bodies = append(to.Bodies, sentBody{b.hash, b.length, b.mass, b.n, b.units})
		}
		out.Groups = append(out.Groups, to)
	}
	for _, ch := range x.training.classes {
		ch.trim(x.most)
		for _, e := range ch.items {
			to := sentExample{ID: e.identity, N: e.n, Taxon: e.taxon, Stage: e.stage}
			for _, f := range e.logs {
				to.Names, to.Logs = append(to.Names, f.name), append(to.Logs, f.log)
			}
			out.Examples = append(out.Examples, to)
		}
	}
	for _, sexes := range x.overlaps {
		sexes.choose(x.most)
	}
	for stage, g := range x.comparisons {
		to := &sentComparison{At: g.at, Taxa: g.taxa, N: g.n}
		for set, n := range g.sets {
			to.Sets = append(to.Sets, sentSet{set.names(&x.names), n})
		}
		out.Comparisons[stage] = to
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(&out)
	return b.Bytes(), err
}

// Join adds what was seen of other parts.
func (x *Inference) Join(block []byte) error {
	var in sentSeen
	if err := gob.NewDecoder(bytes.NewReader(block)).Decode(&in); err != nil {
		return err
	}
	x.all += in.All
	x.training.unsure += in.Unsure
	for i := range in.Groups {
		from := &in.Groups[i]
		g := x.conditions.groups[x.conditions.named(from.Name, from.Species)]
		if g.at.File == "" || from.At.Before(g.at) {
			g.at = from.At
		}
		g.n += from.N
		for d, n := range from.Counts {
			g.counts[d] += n
		}
		units := make([]uint16, len(from.Units))
		for k, u := range from.Units {
			at := g.unitsOf(weighed{LengthUnit: u.Length, MassUnit: u.Mass})
			g.units[at].N += u.N
			units[k] = uint16(at)
		}
		for _, b := range from.Bodies {
			g.bodies.offer(body{b.Hash, b.Length, b.Mass, b.N, units[b.Units]}, x.most)
		}
	}
	for i := range in.Examples {
		from := &in.Examples[i]
		e := example{identity: from.ID, taxon: from.Taxon, stage: from.Stage}
		for k, name := range from.Names {
			e.logs = append(e.logs, feature{x.names.of(name).name, from.Logs[k]})
		}
		x.training.add(int(from.N), &e, exampleLesson)
	}
	for stage, from := range in.Comparisons {
		g := x.comparisons.of(stage)
		if from.N > 0 && (g.n == 0 || from.At.Before(g.at)) {
			g.at = from.At
		}
		g.n += from.N
		maps.Copy(g.taxa, from.Taxa)
		for _, s := range from.Sets {
			var set measuredSet
			for _, name := range s.Names {
				set.add(x.names.of(name).number)
			}
			g.sets[set] += s.N
		}
	}
	x.overlaps.join(in.Overlaps, x.most)
	return nil
}

// sentStanding says of each capture its doubt and its group among the lines of condition.
type sentStanding struct {
	Groups []string
	Of     []byte
}

// Standing writes down what is known of each capture, from one to another in the order
// of Add.
func (x *Inference) Standing(from, to int) ([]byte, error) {
	var out sentStanding
	at := map[int]int{-1: 0}
	for n := from; n < min(to, x.kept.n); n++ {
		group := x.kept.group(n)
		if _, known := at[group]; !known {
			out.Groups = append(out.Groups, x.conditions.groups[group].Name)
			at[group] = len(out.Groups)
		}
		out.Of = binary.AppendUvarint(append(out.Of, byte(x.kept.doubt(n))), uint64(at[group]))
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(&out)
	return b.Bytes(), err
}

var errStanding = errors.New("the positions along the lines of condition are damaged")

// stand takes what Standing wrote into an inference that has seen nothing.
func (x *Inference) stand(standing []byte) error {
	var in sentStanding
	if err := gob.NewDecoder(bytes.NewReader(standing)).Decode(&in); err != nil {
		return err
	}
	for _, name := range in.Groups {
		x.conditions.named(name, "")
	}
	for of := in.Of; len(of) > 0; {
		at, n := binary.Uvarint(of[1:])
		if n <= 0 || at > uint64(len(in.Groups)) {
			return errStanding
		}
		x.kept.add(doubt(of[0]), int(at)-1)
		of = of[1+n:]
	}
	return nil
}

// Another returns the inference that judges a part, the first capture of which has a
// number, by what was learnt of all: Learn must have been called. Many goroutines may
// make them of one.
func (x *Inference) Another(first int, standing []byte) (*Inference, error) {
	y := x.Fresh(first)
	y.all, y.most, y.learnt, y.overlapping, y.placeable = x.all, x.most, true, x.overlapping, x.placeable
	y.models, y.byStage, y.overlaps = x.models, x.byStage, x.overlaps
	return y, y.stand(standing)
}

// Compared is what Judge said, beside its findings.
func (x *Inference) Compared() *Compared { return &x.compared }

// Take takes what was said of the next part.
func (x *Inference) Take(o *Compared) {
	x.compared.Doubted = append(x.compared.Doubted, o.Doubted...)
	for species, u := range o.Unsexed {
		if x.compared.Unsexed == nil {
			x.compared.Unsexed = map[string]*unsexed{}
		}
		if x.compared.Unsexed[species] == nil {
			x.compared.Unsexed[species] = &unsexed{}
		}
		x.compared.Unsexed[species].take(u)
	}
}

// sentLine is a group of condition on its way to another machine.
type sentLine struct {
	Axis    statistics.BodyAxis
	Missing string
	Rare    *record.Rare
}

// Lines writes down the lines that Settle fitted, for Receive.
func (x *Inference) Lines() ([]byte, error) {
	all := map[string]sentLine{}
	for _, g := range x.conditions.groups {
		all[g.Name] = sentLine{g.Axis, g.Missing, g.rare}
	}
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(all)
	return b.Bytes(), err
}

// Receive takes what Lines and Standing wrote into an inference that has seen
// nothing: it then gives the readings of these captures, the first of which is
// number 0.
func (x *Inference) Receive(lines, standing []byte) error {
	var all map[string]sentLine
	if err := gob.NewDecoder(bytes.NewReader(lines)).Decode(&all); err != nil {
		return err
	}
	if err := x.stand(standing); err != nil {
		return err
	}
	for _, g := range x.conditions.groups {
		l, ok := all[g.Name]
		if !ok {
			return errStanding
		}
		g.Axis, g.Missing, g.rare = l.Axis, l.Missing, l.Rare
	}
	return nil
}

// Fills returns the sexes that Add fills in, by index. It gathers nothing, and many
// goroutines may call it.
func (x *Inference) Fills(captures []*record.Capture) map[int]record.Value {
	var out map[int]record.Value
	reader := newReader()
	for i, c := range captures {
		said := reader.read(c)
		s := sight{lineage: x.lineages.of(&said)}
		if x.seeSex(&s, c, &said); s.fill == nil {
			continue
		}
		if out == nil {
			out = map[int]record.Value{}
		}
		out[i] = *s.fill
	}
	return out
}
