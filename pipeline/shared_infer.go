//go:build !onemachine

package pipeline

import (
	"context"
	"errors"
	"io"
	"iter"
	"maps"
	"os"
	"slices"
	"sync"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
)

// sought are captures by their ordinals, on their way.
type sought struct {
	Ordinals []int
	Captures []byte // of the store
}

// Seek returns the captures of a screened part that are to be compared with others of
// their mark, nil where there are none, and the part is not opened.
func (s *Shared) Seek(k Joined, marks Blocks, part int, open func() ([]byte, error)) ([]byte, error) {
	know, err := s.knowing(k).judged()
	if err != nil {
		return nil, err
	}
	o, failed := s.knowing(k).outline()
	want, err := know.compared(marks)
	if err = errors.Join(err, failed); err != nil {
		return nil, err
	}
	first := o.first(part)
	from, _ := slices.BinarySearch(want, first)
	to, _ := slices.BinarySearch(want, first+o.parts[part])
	if from == to {
		return nil, nil
	}
	p, err := screenedBefore(open)
	if err != nil {
		return nil, err
	}
	captures, err := store.Unpack(p.Named.Captures)
	if err != nil {
		return nil, err
	}
	var some []*record.Capture
	for _, n := range want[from:to] {
		some = append(some, captures[n-first])
	}
	return encode(sought{want[from:to], store.Pack(some)})
}

type marksKey uint64

// compared are the ordinals of the captures that are compared with others of their
// mark, in their order.
func (know *basis) compared(marks Blocks) ([]int, error) {
	return onceOf(know, marksKey(marks.Key), func() ([]int, error) {
		var g learned
		if err := g.follow(marks); err != nil {
			return nil, err
		}
		all := map[int]bool{}
		if n, _, some := g.marks.Scope(); some {
			all[n] = true
		}
		for _, p := range g.marks.Found() {
			all[p[0]], all[p[1]] = true, true
		}
		return slices.Sorted(maps.Keys(all)), nil
	})
}

// followed is what is known once captures of one mark are paired.
type followed struct {
	*walk
	v  verdicts
	mu sync.Mutex // of the marks, which remember
}

type followedKey [3]uint64

// following pairs captures of one mark, once; sought are blocks of Seek.
func (know *basis) following(by *knownCauses, causes, marks, found Blocks) (*followed, error) {
	return onceOf(know, followedKey{causes.Key, marks.Key, found.Key}, func() (*followed, error) {
		f := &followed{walk: know.own(), v: know.v}
		if err := f.learned.follow(marks); err != nil {
			return nil, err
		}
		f.store = f.store.Another()
		err := each(found, func(in *sought) error {
			some, err := store.Unpack(in.Captures)
			for i := range some {
				f.store.Fetched(in.Ordinals[i], some[i])
			}
			return err
		})
		if err != nil {
			return nil, err
		}
		f.v.screening = by.screening()
		return f, f.doubtEarlier(&f.v)
	})
}

// Inferred is what Infer returns of a part.
type Inferred struct {
	Verdict []byte         // for Compare, Conclude and Finish
	Seen    []byte         // what is learnt of it: joined in any order by JoinSeen
	Links   map[int][]byte // for Link, by drawers
}

// seen is what Infer learnt of parts.
type seen struct {
	Departures *screen.Contribution
	Inference  []byte
}

// JoinSeen joins what Infer learnt of parts, in any order.
func JoinSeen(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	var all seen
	x := infer.New(infer.Inputs{}, infer.Settings{})
	err := eachOf(blocks, func(one *seen) error {
		if all.Departures == nil {
			all.Departures = one.Departures
		} else {
			all.Departures.Join(one.Departures)
		}
		return x.Join(one.Inference)
	})
	if err != nil {
		return nil, err
	}
	if all.Inference, err = x.Seen(); err != nil {
		return nil, err
	}
	return encode(all)
}

// Infer judges a screened part further: captures of one mark beside each other, sexes,
// and what species and condition are learnt from.
func (s *Shared) Infer(k Joined, causes, marks, found Blocks, open func() ([]byte, error)) (*Inferred, error) {
	know, by, err := s.caused(k, causes)
	if err != nil {
		return nil, err
	}
	o, err := s.knowing(k).outline()
	if err != nil {
		return nil, err
	}
	f, err := know.following(by, causes, marks, found)
	if err != nil {
		return nil, err
	}
	r := received(open)
	if r.err != nil {
		return nil, r.err
	}
	w, v, first := *f.walk, f.v, r.Named.First
	w.captures, w.findings, w.settled, w.sharing = r.captures, r.found, len(r.found), r.Sharing
	f.mu.Lock()
	err = w.compareWithOthers(first, v.follows, true)
	f.mu.Unlock()
	if err != nil {
		return nil, err
	}
	w.settle()
	v.inference, v.doubtedCells = know.sexes.Fresh(first), map[record.Address]bool{}
	w.inferPart(first, r.aside, w.animals(), &v)
	record.SortFindings(w.findings)
	out := verdict{First: first, Found: store.PackFindings(w.findings), Aside: r.Named.Aside, Tested: r.Tested, TestedFrom: r.TestedFrom, Species: store.PackFindings(nil)}
	learnt := seen{Departures: r.departures}
	var failed [2]error
	out.Standing, failed[0] = v.inference.Standing(0, len(w.captures))
	learnt.Inference, failed[1] = v.inference.Seen()
	if err := errors.Join(failed[:]...); err != nil {
		return nil, err
	}
	inferred := &Inferred{}
	inferred.Verdict, failed[0] = encode(out)
	inferred.Seen, failed[1] = encode(learnt)
	if err := errors.Join(failed[:]...); err != nil {
		return nil, err
	}
	inferred.Links, err = linksIn(w.captures, first, DrawerBits(o.captures))
	return inferred, err
}

// linksIn are the captures of marked animals, by drawers.
func linksIn(captures []*record.Capture, first, bits int) (map[int][]byte, error) {
	drawers := map[int][]recaptures.Caught{}
	for i, c := range captures {
		if mark := c.Mark(); mark != "" && !c.Absent() {
			at := store.DrawerOf(mark, bits)
			drawers[at] = append(drawers[at], recaptures.CaughtAs(c, first+i))
		}
	}
	out := map[int][]byte{}
	var err error
	for at, all := range drawers {
		if out[at], err = encode(all); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Link finds the captures of one mark that follow each other, from the blocks of one
// drawer in any order, any of them more than once. It gives, by part, what Finish takes.
func (s *Shared) Link(k Joined, blocks [][]byte) (map[int][]byte, error) {
	o, err := s.knowing(k).outline()
	if err != nil {
		return nil, err
	}
	all := map[int]recaptures.Caught{}
	for _, block := range blocks {
		var some []recaptures.Caught
		if err := decodeBlock(block, &some); err != nil {
			return nil, err
		}
		for _, c := range some {
			all[c.Ordinal] = c
		}
	}
	var captures []recaptures.Caught
	for _, n := range slices.Sorted(maps.Keys(all)) {
		captures = append(captures, all[n])
	}
	byPart := map[int]map[int]string{}
	for _, f := range recaptures.Following(captures) {
		part, first := o.holding(f[1].Ordinal)
		if byPart[part] == nil {
			byPart[part] = map[int]string{}
		}
		byPart[part][f[1].Ordinal-first] = f[0].Identifier
	}
	out := map[int][]byte{}
	for part, links := range byPart {
		if out[part], err = encode(links); err != nil {
			return nil, err
		}
	}
	return out, nil
}

type learntKey uint64

// learnt is what species are compared by; nil where they are not.
func (know *basis) learnt(seen Blocks) (*infer.Inference, error) {
	return onceOf(know, learntKey(seen.Key), func() (*infer.Inference, error) {
		_, x, compares, err := know.join(seen)
		if !compares {
			x = nil
		}
		return x, err
	})
}

// join joins what Infer learnt of all parts, and reports whether species are compared.
func (know *basis) join(blocks Blocks) (*screen.Contribution, *infer.Inference, bool, error) {
	inputs, settings, err := know.inferInputs()
	if err != nil {
		return nil, nil, false, err
	}
	x, departures := infer.New(inputs, settings), (*screen.Contribution)(nil)
	err = each(blocks, func(in *seen) error {
		departures = in.Departures
		return x.Join(in.Inference)
	})
	if err != nil {
		return nil, nil, false, err
	}
	return departures, x, x.Learn(), nil
}

// Compare compares a screened part with the species that were learnt of all, and
// returns its verdict then. It returns nil where none were learnt, and the part is not
// opened.
func (s *Shared) Compare(k Joined, seen Blocks, before, screened func() ([]byte, error)) ([]byte, error) {
	know, err := s.knowing(k).judged()
	if err != nil {
		return nil, err
	}
	x, err := know.learnt(seen)
	if err != nil || x == nil {
		return nil, err
	}
	block, err := before()
	if err != nil {
		return nil, err
	}
	var v verdict
	if err := decodeBlock(block, &v); err != nil {
		return nil, err
	}
	p, err := screenedBefore(screened)
	if err != nil {
		return nil, err
	}
	w := *know.walk
	if w.captures, err = store.Unpack(p.Named.Captures); err != nil {
		return nil, err
	}
	animals := w.animals()
	fill(animals, know.sexes.Fills(animals))
	own, err := x.Another(v.First, v.Standing)
	if err != nil {
		return nil, err
	}
	w.findings, w.settled = nil, 0
	w.find(own.Judge(animals)...)
	w.settle()
	record.SortFindings(w.findings)
	v.Species, v.Compared = store.PackFindings(w.findings), own.Compared()
	if v.Standing, err = own.Standing(0, len(animals)); err != nil {
		return nil, err
	}
	return encode(v)
}

// Conclude judges the survey as a whole, by the verdicts on the parts in their order and
// what Infer learnt of all of them. The findings go to a file as Run
// writes them. This is one step on one machine: it takes the findings of each part and
// no capture.
func (s *Shared) Conclude(ctx context.Context, k Joined, causes, marks, found, seen Blocks, verdicts []func() ([]byte, error), findings io.Writer) (_ *Whole, err error) {
	know, by, err := s.caused(k, causes)
	if err != nil {
		return nil, err
	}
	f, err := know.following(by, causes, marks, found)
	if err != nil {
		return nil, err
	}
	w, v := know.own(), know.v
	w.learned.marks, w.store, w.temp = f.learned.marks, f.store, os.TempDir()
	w.held = false // no captures are here
	if w.judged, w.aside, err = w.newFindings(); err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, w.judged.Close(), w.aside.Close()) }()
	w.runs = make([][]int, max(len(verdicts), 1))
	var departures *screen.Contribution
	if departures, v.inference, _, err = know.join(seen); err != nil {
		return nil, err
	}
	v.screening, v.quality, v.doubtedCells = by.screening().Another(), w.qualityJudge(), map[record.Address]bool{}
	if departures != nil {
		v.screening.Take(departures)
	}
	err = w.along(ctx, []stage{
		{"receive", func(w *walk) error {
			return errors.Join(foundOnSheets(k.Outline, w.takeFoundOnSheet), w.takeVerdicts(verdicts, &v))
		}},
		{"infer", func(w *walk) error {
			w.verdicts = v
			return w.judgeWhole(&w.verdicts)
		}},
		{"report", func(w *walk) error { return errors.Join(w.refuse(), w.writeFindings(findings)) }}})
	if err != nil {
		return nil, err
	}
	return w.conclusion()
}

// takeFoundOnSheet takes in what was found in a sheet. Only doubts are said of captures.
func (w *walk) takeFoundOnSheet(found []record.Finding) error {
	w.findings, w.settled = found, 0
	w.settle()
	var notes []record.Finding
	for _, f := range w.findings {
		if f.Level < record.Warning {
			notes = append(notes, f)
		} else {
			w.whole = append(w.whole, f)
		}
	}
	record.SortFindings(notes)
	return w.judged.Add(notes)
}

// takeVerdicts takes in what is said of the parts.
func (w *walk) takeVerdicts(verdicts []func() ([]byte, error), v *verdicts) error {
	for i, open := range verdicts {
		block, err := open()
		if err != nil {
			return err
		}
		var of verdict
		if err := decodeBlock(block, &of); err != nil {
			return err
		}
		var species, aside, tested []record.Finding
		var failed [4]error
		w.findings, failed[0] = store.UnpackFindings(of.Found)
		species, failed[1] = store.UnpackFindings(of.Species)
		aside, failed[2] = store.UnpackFindings(of.Aside)
		tested, failed[3] = store.UnpackFindings(of.Tested)
		if err := errors.Join(append(failed[:], w.ctx.Err())...); err != nil {
			return err
		}
		noteDoubtedCells(v.doubtedCells, aside)
		w.whole = append(w.whole, w.notYetSaid(v.quality.Take(tested, of.TestedFrom))...)
		noteDoubtedCells(v.doubtedCells, w.findings)
		if err := errors.Join(w.put(i, w.findings), w.put(i, species)); err != nil {
			return err
		}
		if of.Compared != nil {
			v.inference.Take(of.Compared)
		}
	}
	return nil
}
