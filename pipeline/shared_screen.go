//go:build !onemachine

package pipeline

import (
	"context"
	"errors"
	"io"
	"iter"
	"os"
	"slices"

	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
)

// Joined is what is known of all parts so far; later steps know more. Key tells one
// from another.
type Joined struct {
	Key     uint64
	Outline [][]byte // headings
	Learned []byte   // of Gather, joined; nil before
	Matched [][]byte // of Match
	Fetched [][]byte // of Fetch
}

// knowledge is what is worked out of a Joined.
type knowledge struct {
	key      uint64
	outline  *outline
	wanted   map[int]bool
	asked    func() map[string]recaptures.Seen
	walk     *walk // with what was learnt, and the captures that were fetched
	v        verdicts
	sum      *screen.Summary
	causes   *screen.Causes
	causesOf uint64
}

func (s *Shared) knowing(k Joined) *knowledge {
	if s.known == nil || s.known.key != k.Key {
		s.known = &knowledge{key: k.Key}
	}
	return s.known
}

func (s *Shared) outlineOf(k Joined) (_ *outline, err error) {
	know := s.knowing(k)
	if know.outline == nil {
		know.outline, err = s.outlined(k.Outline)
	}
	return know.outline, err
}

// wanted works out which captures are to be fetched.
func (s *Shared) wanted(k Joined) (*knowledge, error) {
	know := s.knowing(k)
	if know.wanted != nil {
		return know, nil
	}
	var m matched
	var l sentLearned
	if err := errors.Join(m.join(k.Matched), l.read(k.Learned)); err != nil {
		return nil, err
	}
	know.wanted = map[int]bool{}
	for _, group := range slices.Concat(m.Keys, m.Contents) {
		for _, n := range group {
			know.wanted[n] = true
		}
	}
	for _, p := range m.Pairs {
		know.wanted[p[0]], know.wanted[p[1]] = true, true
	}
	o, err := s.outlineOf(k)
	if err != nil {
		return nil, err
	}
	end := 0
	for _, n := range o.parts[:max(0, len(o.parts)-1)] {
		end += n
		for i := max(0, end-screen.Neighbours); i < min(end+screen.Neighbours, o.captures); i++ {
			know.wanted[i] = true
		}
	}
	var g learned
	g.recaught = l.Recaught
	know.asked = g.asked
	return know, nil
}

func (x *sentLearned) read(block []byte) error {
	if len(block) == 0 {
		return nil
	}
	return decodeBlock(block, x)
}

// know works out what captures are judged by.
func (s *Shared) know(k Joined) (*knowledge, error) {
	know := s.knowing(k)
	if know.walk != nil {
		return know, nil
	}
	o, err := s.outlineOf(k)
	if err != nil {
		return nil, err
	}
	w := new(walk)
	*w = *s.walk
	know.walk = w
	return know, errors.Join(w.learnFrom(o, k), know.prepare(k))
}

// learnFrom puts what was learnt elsewhere into a walk, as reading would have.
func (w *walk) learnFrom(o *outline, k Joined) error {
	o.tellSheets(w)
	if err := w.learned.open(w); err != nil {
		return err
	}
	var l sentLearned
	var m matched
	if err := errors.Join(l.read(k.Learned), m.join(k.Matched)); err != nil {
		return err
	}
	captures := map[int]*record.Capture{}
	for _, block := range k.Fetched {
		var f fetched
		if err := decodeBlock(block, &f); err != nil {
			return err
		}
		some, err := store.Unpack(f.Captures)
		if err != nil {
			return err
		}
		for i, n := range f.Ordinals {
			captures[n] = some[i]
		}
	}
	g := &w.learned
	if l.Sum != nil {
		g.sum = l.Sum.Under(g.screened)
	}
	if l.Tares != nil {
		g.tares = l.Tares
	}
	if l.Repeats != nil {
		g.repeats = *l.Repeats
	}
	if l.Sizes != nil {
		g.sizes = l.Sizes
	}
	g.spots, g.recaught = l.Spots, l.Recaught
	g.keys, g.contents = store.Equal(m.Keys), store.Equal(m.Contents)
	g.duplicates = screen.Found(m.Pairs, m.Company)
	w.keys = l.keyDoubts()
	w.counts.Captures, w.counts.Absences = l.Captures, l.Absences
	w.store = store.Some(o.parts, captures)
	return w.endRead()
}

// prepare fits the summaries and pairs captures.
func (know *knowledge) prepare(k Joined) error {
	w := know.walk
	know.sum = w.learned.sum
	if err := w.prepareJudgement(&know.v); err != nil {
		return err
	}
	know.v.known = w.learned.asked()
	at := map[string]int{}
	for _, block := range k.Fetched {
		var f fetched
		if err := decodeBlock(block, &f); err != nil {
			return err
		}
		for name, s := range f.Seen {
			old := know.v.known[name]
			if old.At.File == "" || s.Date < old.Date || s.Date == old.Date && f.First < at[name] {
				know.v.known[name], at[name] = s, f.First
			}
		}
	}
	return nil
}

// screenedPart is a part on its way to Judge.
type screenedPart struct {
	Named      namedPart
	Findings   []byte // of the store
	Departures []byte
	Clean      bool // no cause of many was found in it
}

// Screen judges a part against what is known of all. Causes is what it says of
// causes that only all parts together tell; they join in any order.
func (s *Shared) Screen(k Joined, part []byte) (screened, causes []byte, err error) {
	know, err := s.know(k)
	if err != nil {
		return nil, nil, err
	}
	var p screenedPart
	if err := decodeBlock(part, &p.Named); err != nil {
		return nil, nil, err
	}
	x := screen.NewScreening(know.sum, know.walk.tables.limits, know.walk.learned.screened)
	if screened, err = know.screen(&p, x); err != nil {
		return nil, nil, err
	}
	causes, err = encode(x.Causes())
	return screened, causes, err
}

// screen judges a part by a screening.
func (know *knowledge) screen(p *screenedPart, x *screen.Screening) ([]byte, error) {
	captures, err := store.Unpack(p.Named.Captures)
	heard, failed := store.UnpackFindings(p.Named.Heard)
	if err := errors.Join(err, failed); err != nil {
		return nil, err
	}
	w, v := *know.walk, know.v
	v.screening = x
	w.captures, w.findings, w.settled = captures, heard, len(heard)
	if w.rename(p.Named.First) {
		p.Named.Captures = store.Pack(captures)
	}
	near, err := know.beside(p.Named.First, len(captures))
	if err != nil {
		return nil, err
	}
	if err := w.screenInHand(p.Named.First, &v, near); err != nil {
		return nil, err
	}
	p.Clean = !x.InVain()
	p.Findings = store.PackFindings(w.findings)
	if p.Departures, err = x.Departures(); err != nil {
		return nil, err
	}
	return encode(p)
}

// beside are the captures next to a part.
func (know *knowledge) beside(first, n int) (near screen.Beside, err error) {
	some := func(from, to int) (all []*record.Capture) {
		for i := max(0, from); i < min(to, know.walk.counts.Captures) && err == nil; i++ {
			var c *record.Capture
			c, err = know.walk.store.Find(i)
			all = append(all, c)
		}
		return all
	}
	near.Before = some(first-screen.Neighbours, first)
	near.After = some(first+n, first+n+screen.Neighbours)
	return near, err
}

// JoinCauses joins causes of Screen and Relearn; either may be empty.
func JoinCauses(a, b []byte) ([]byte, error) {
	if len(a) == 0 || len(b) == 0 {
		return append(a, b...), nil
	}
	var x, y screen.Causes
	if err := errors.Join(decodeBlock(a, &x), decodeBlock(b, &y)); err != nil {
		return nil, err
	}
	x.Join(&y)
	return encode(&x)
}

// causes reads what is said of causes; key tells one block from another.
func (know *knowledge) causesIn(block []byte, key uint64) (*screen.Causes, error) {
	if know.causes != nil && know.causesOf == key {
		return know.causes, nil
	}
	know.causes, know.causesOf = new(screen.Causes), key
	if len(block) == 0 {
		return know.causes, nil
	}
	return know.causes, decodeBlock(block, know.causes)
}

// Relearn learns a screened part as mended, where any part has a cause of many. It
// returns nil where none has.
func (s *Shared) Relearn(k Joined, causes []byte, key uint64, screened []byte) ([]byte, error) {
	know, p, c, err := s.again(k, causes, key, screened)
	if err != nil || !c.Mends {
		return nil, err
	}
	captures, err := store.Unpack(p.Named.Captures)
	if err != nil {
		return nil, err
	}
	near, err := know.beside(p.Named.First, len(captures))
	if err != nil {
		return nil, err
	}
	return encode(screen.Relearn(know.sum, know.walk.tables.limits, know.walk.learned.screened, animalsAmong(captures), screen.Beside{Before: animalsAmong(near.Before), After: animalsAmong(near.After)}, p.Clean))
}

// Rescreen judges a screened part by the causes of all parts, if they say so.
func (s *Shared) Rescreen(k Joined, causes []byte, key uint64, screened []byte) ([]byte, error) {
	know, p, c, err := s.again(k, causes, key, screened)
	if err != nil {
		return nil, err
	}
	x := screen.Finally(know.sum, know.walk.tables.limits, know.walk.learned.screened, c)
	if !x.Told() {
		return screened, nil
	}
	return know.screen(p, x)
}

func (s *Shared) again(k Joined, causes []byte, key uint64, screened []byte) (*knowledge, *screenedPart, *screen.Causes, error) {
	know, err := s.know(k)
	if err != nil {
		return nil, nil, nil, err
	}
	c, err := know.causesIn(causes, key)
	if err != nil {
		return nil, nil, nil, err
	}
	p := new(screenedPart)
	return know, p, c, decodeBlock(screened, p)
}

// Number is the place of a screened part among all.
func Number(screened []byte) (int, error) {
	var p screenedPart
	err := decodeBlock(screened, &p)
	return p.Named.Part, err
}

// Judge takes the screened parts in their order and gives the parts as they are
// published. The findings go to a file as Run writes them. The shards have as
// many captures each, or one fewer. This is one step on one machine: habits of
// hands, species and condition are learnt from part to part, and places are
// withheld in passes over all.
func (s *Shared) Judge(ctx context.Context, k Joined, causes []byte, marked Marked, screened iter.Seq2[[]byte, error], shards int, findings io.Writer, give func(Part) error) (_ *Whole, err error) {
	fresh, err := start(s.walk.folder, s.options)
	if err != nil {
		return nil, err
	}
	fresh.held, fresh.partRows, fresh.onSheets, fresh.temp = s.walk.held, s.walk.partRows, s.walk.onSheets, os.TempDir()
	know, err := (&Shared{walk: fresh, options: s.options}).know(k)
	if err != nil {
		return nil, err
	}
	w := know.walk
	if err := w.openStores(); err != nil {
		return nil, err
	}
	defer w.close(&err)
	c, err := know.causesIn(causes, 0)
	if err != nil {
		return nil, err
	}
	if err := w.learned.follow(marked); err != nil {
		return nil, err
	}
	know.v.screening = screen.Finally(know.sum, w.tables.limits, w.learned.screened, c)
	stages := append([]stage{
		{"receive", func(w *walk) error { return w.receive(screened, &know.v) }},
		{"screen", func(w *walk) error { return w.judgeReceived(&know.v) }}}, judged[2:]...)
	stages = append(stages,
		stage{"hand on", func(w *walk) error { return w.handOn(shards, give) }},
		stage{"guard", (*walk).guardDescription},
		stage{"report", func(w *walk) error { return w.writeFindings(findings) }})
	if err := w.along(ctx, stages); err != nil {
		return nil, err
	}
	return &Whole{Counts: w.counts, Tables: sentTables(w.laid), Inputs: w.inputNotes(), Findings: w.tally.Levels, ByRule: w.tally.ByRule, Computed: w.computed}, nil
}

// receive stores screened parts, and takes in what is said of the survey as a whole.
func (w *walk) receive(screened iter.Seq2[[]byte, error], v *verdicts) error {
	for block, err := range screened {
		if err == nil {
			err = w.receivePart(block, v)
		}
		if err = errors.Join(err, w.ctx.Err()); err != nil {
			return err
		}
	}
	if w.held && w.store.Parts() == 0 {
		w.runs, w.spans = append(w.runs, nil), append(w.spans, nil)
		return errors.Join(w.store.Add(nil), w.heard.Add(nil), w.aside.Add(nil))
	}
	return nil
}

func (w *walk) receivePart(block []byte, v *verdicts) error {
	var p screenedPart
	if err := decodeBlock(block, &p); err != nil {
		return err
	}
	captures, err := store.Unpack(p.Named.Captures)
	found, failed := store.UnpackFindings(p.Findings)
	aside, bad := store.UnpackFindings(p.Named.Aside)
	if err := errors.Join(err, failed, bad); err != nil {
		return err
	}
	w.runs, w.spans = append(w.runs, nil), append(w.spans, spansOf(captures))
	return errors.Join(v.screening.Take(animalsAmong(captures), p.Departures), w.store.Add(captures), w.heard.Add(found), w.aside.Add(aside))
}

// judgeReceived judges the parts further that were screened elsewhere.
func (w *walk) judgeReceived(v *verdicts) error {
	err := w.judgeParts(v, func(w *walk, i int, v *verdicts) (err error) {
		if w.findings, err = w.heard.Run(i); err != nil {
			return err
		}
		w.settled = len(w.findings)
		if err := w.compareWithOthers(w.store.First(i), v.follows, true); err != nil {
			return err
		}
		w.settle()
		return nil
	})
	w.verdicts = *v
	return err
}
