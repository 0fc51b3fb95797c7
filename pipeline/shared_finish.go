//go:build !onemachine

package pipeline

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"slices"

	"spadefoot/pipeline/darwincore"
	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/store"
)

// Part is captures that are judged, on their way to Publish. They are as the
// archive says them: places of sensitive taxa are withheld.
type Part struct {
	Number  int // ordinal of its first capture
	Shard   int // that it is published in
	Data    []byte
	Columns []byte // that it needs; JoinColumns joins them in any order
}

// Whole is what is known of all captures once they are judged.
type Whole struct {
	Counts   Counts
	Tables   []tableSent
	Inputs   []report.InputNote
	Findings report.Counts
	ByRule   map[string]int
	Computed string // how derived readings came about, for the methods
	Lines    []byte // of condition
	Doubts   []byte // errors and warnings that are told of the survey, of the store
}

// verdict is what is said of a part, for Finish and Tell. All but numbers is of the
// store or encoded.
type verdict struct {
	First    int            // ordinal of its first capture
	Finished []byte         // captures as they are published; nil where Finish makes them
	Found    []byte         // findings; of Judge errors and warnings only
	Species  []byte         // findings of Compare
	Aside    []byte         // those that are told with another cell
	Standing []byte         // of the animals among the lines of condition
	Links    map[int]string // by the index of a capture, the identifier of the one before it

	Tested, TestedFrom []byte // what the quality tests doubt
	Compared           *infer.Compared
}

// NoVerdict is the verdict on a survey without captures, whose archive has its
// headings.
func NoVerdict() ([]byte, error) { return encode(verdict{Finished: store.Pack(nil)}) }

// handOn says of each part what Finish needs to know. Where places are withheld, or
// a person decided on a row, the captures are finished here.
func (w *walk) handOn(give func(part int, verdict []byte) error) error {
	if err := w.refuse(); err != nil {
		return err
	}
	if err := w.linkMarks(); err != nil {
		return err
	}
	w.spreadDoubts()
	if w.store.Parts() == 0 {
		block, err := NoVerdict()
		return errors.Join(err, give(0, block))
	}
	for i := range w.store.Parts() {
		v, err := w.verdict(i)
		if err != nil {
			return err
		}
		block, err := encode(v)
		if err = errors.Join(err, w.ctx.Err()); err != nil {
			return err
		}
		if err := give(i, block); err != nil {
			return err
		}
	}
	return nil
}

func (w *walk) verdict(i int) (v verdict, err error) {
	v.First, v.Species = w.store.First(i), store.PackFindings(nil)
	w.captures, w.findings, w.settled = nil, nil, 0
	if w.sensitive.result != nil || len(w.decided.parts[i]) > 0 {
		if w.captures, err = w.store.Take(i, &w.buffers[0]); err != nil {
			return v, err
		}
		if err := errors.Join(w.finish(i), w.guardPart()); err != nil {
			return v, err
		}
		v.Finished = store.Pack(w.captures)
		return v, nil
	}
	aside, err := w.aside.Run(i)
	if err = errors.Join(err, w.recall(i)); err != nil {
		return v, err
	}
	to := math.MaxInt
	if i+1 < len(w.animal) {
		to = w.animal[i+1]
	}
	v.Found, v.Aside = packDoubts(w.findings), packDoubts(aside)
	var failed error
	v.Standing, err = w.verdicts.inference.Standing(w.animal[i], to)
	v.Links, failed = w.linksOf(i)
	return v, errors.Join(err, failed)
}

func packDoubts(fs []record.Finding) []byte {
	return store.PackFindings(slices.DeleteFunc(slices.Clone(fs), func(f record.Finding) bool { return f.Level < record.Warning }))
}

// linksOf are the identifiers of the captures before those of a part, by index.
func (w *walk) linksOf(i int) (map[int]string, error) {
	var out map[int]string
	from, n := w.store.First(i), w.store.Size(i)
	for k := range n {
		at, there := w.before[from+k]
		if !there {
			continue
		}
		before, err := w.store.Find(at)
		if err != nil {
			return nil, err
		}
		if out == nil {
			out = map[int]string{}
		}
		out[k] = recaptures.Identifier(before)
	}
	return out, nil
}

// guardPart looks through the captures in hand for places that are withheld,
// before they leave this machine.
func (w *walk) guardPart() error {
	r := w.sensitive.result
	if r == nil || r.Guard == nil {
		return nil
	}
	read, in := io.Pipe()
	go func() { in.CloseWithError(json.NewEncoder(in).Encode(w.captures)) }()
	defer read.Close()
	return w.guardFile("captures.json", read)
}

// Finish makes a screened part what is published, by what Judge or Compare said of it
// and the blocks of Link, and gives it cut where a shard ends. The shards have as many
// captures each, or one fewer.
func (s *Shared) Finish(k Joined, whole *Whole, said []byte, links [][]byte, screened func() ([]byte, error), shards int, give func(Part) error) error {
	know, err := s.knowing(k).judged()
	if err != nil {
		return err
	}
	var v verdict
	if err := decodeBlock(said, &v); err != nil {
		return err
	}
	for _, block := range links {
		if err := decodeBlock(block, &v.Links); err != nil { // into those that are there
			return err
		}
	}
	var rest []*record.Capture
	if v.Finished != nil {
		rest, err = store.Unpack(v.Finished)
	} else {
		rest, err = know.finish(&v, whole, screened)
	}
	if err != nil {
		return err
	}
	at, all := v.First, whole.Counts.Captures
	cut := func(shard int, captures []*record.Capture) error {
		var g darwincore.Gathered
		s.builder().Needs(&g, captures)
		columns, err := g.MarshalBinary()
		if err != nil {
			return err
		}
		return give(Part{at, shard, store.Pack(captures), columns})
	}
	if all == 0 {
		return cut(0, nil)
	}
	for len(rest) > 0 {
		shard := at * shards / all
		n := min(len(rest), partCaptures, ((shard+1)*all+shards-1)/shards-at)
		if err := cut(shard, rest[:n]); err != nil {
			return err
		}
		at, rest = at+n, rest[n:]
	}
	return nil
}

// finish finishes a part as the walk does.
func (know *basis) finish(v *verdict, whole *Whole, screened func() ([]byte, error)) ([]*record.Capture, error) {
	p, err := screenedBefore(screened)
	if err != nil {
		return nil, err
	}
	w := *know.walk
	captures, err := store.Unpack(p.Named.Captures)
	found, failed := store.UnpackFindings(v.Found)
	species, wrong := store.UnpackFindings(v.Species)
	aside, bad := store.UnpackFindings(v.Aside)
	general, worse := store.UnpackFindings(whole.Doubts)
	if err := errors.Join(err, failed, wrong, bad, worse); err != nil {
		return nil, err
	}
	found = append(found, species...)
	record.SortFindings(found)
	w.captures, w.findings, w.settled = captures, found, len(found)
	fill(w.animals(), know.sexes.Fills(w.animals()))
	_, settings, err := w.inferInputs()
	if err != nil {
		return nil, err
	}
	w.verdicts.inference, w.animal = infer.New(infer.Inputs{}, settings), []int{0}
	if err := w.verdicts.inference.Receive(whole.Lines, v.Standing); err != nil {
		return nil, err
	}
	w.whole = general
	w.spreadDoubts()
	w.derive(0)
	w.doubt(aside)
	for k, id := range v.Links {
		recaptures.Link(captures[k], id)
	}
	return captures, nil
}

// fill fills values in, by the index of the capture.
func fill(captures []*record.Capture, values map[int]record.Value) {
	for i, value := range values {
		captures[i].Fill(value)
	}
}

// test asks the quality tests about a part, as it will be with its sexes filled in.
// It returns what they doubt, of the store, and of each doubt where it comes from.
func (know *basis) test(captures []*record.Capture) (found, from []byte) {
	animals := animalsAmong(captures)
	filled := map[*record.Capture]*record.Capture{}
	for i, value := range know.sexes.Fills(animals) {
		own := *animals[i]
		own.Values = slices.Clone(own.Values)
		own.Fill(value)
		filled[animals[i]] = &own
	}
	asked := slices.Clone(captures)
	for i, c := range asked {
		if own := filled[c]; own != nil {
			asked[i] = own
		}
	}
	var doubts []record.Finding
	for _, d := range know.quality.judge(asked).doubts {
		doubts, from = append(doubts, d.Finding), append(from, d.Mark())
	}
	return store.PackFindings(doubts), from
}
