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
	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/weigh"
)

// Joined is what is known of all parts so far; later steps know more.
type Joined struct {
	Outline Blocks // headings
	Learned Blocks // of Gather, joined to one
	Matched Blocks // of Match
	Fetched Blocks // of Fetch
}

// Blocks are blocks that came from all parts, opened one after the other when they are
// asked for, so that they need not be in memory together. Key tells them from others;
// the zero value is none.
type Blocks struct {
	Key uint64
	All iter.Seq2[[]byte, error]
}

// each decodes blocks one after the other; some may be empty.
func each[T any](b Blocks, do func(*T) error) error {
	if b.All == nil {
		return nil
	}
	return eachOf(b.All, do)
}

func eachOf[T any](blocks iter.Seq2[[]byte, error], do func(*T) error) error {
	for block, err := range blocks {
		if err == nil && len(block) > 0 {
			one := new(T)
			if err = decodeBlock(block, one); err == nil {
				err = do(one)
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// knowledge is what is worked out of a Joined, each once, when it is asked for first.
type knowledge struct {
	outline func() (*outline, error)
	told    func() (*walk, error) // what the sheets told
	wanted  func() (*wanted, error)
	judged  func() (*basis, error)
}

func (s *Shared) knowing(k Joined) *knowledge {
	s.mu.Lock()
	defer s.mu.Unlock()
	key := k.key()
	know := s.known[key]
	if know == nil {
		know = &knowledge{}
		if alone := (Joined{Outline: k.Outline}); key == alone.key() {
			know.outline = sync.OnceValues(func() (*outline, error) { return s.outlined(k.Outline) })
			know.told = sync.OnceValues(func() (*walk, error) {
				o, err := know.outline()
				if err != nil {
					return nil, err
				}
				return s.walk.told(o), nil
			})
		} else { // there is one outline
			know.outline = func() (*outline, error) { return s.knowing(alone).outline() }
			know.told = func() (*walk, error) { return s.knowing(alone).told() }
		}
		know.wanted = sync.OnceValues(func() (*wanted, error) { return wantedBy(k) })
		know.judged = sync.OnceValues(func() (*basis, error) {
			o, failed := know.outline()
			told, err := know.told()
			if err = errors.Join(failed, err); err != nil {
				return nil, err
			}
			return told.basis(o, k)
		})
		s.known[key] = know
	}
	return know
}

func (k *Joined) key() [4]uint64 {
	return [4]uint64{k.Outline.Key, k.Learned.Key, k.Matched.Key, k.Fetched.Key}
}

// wanted are captures that are to be fetched, and animals that remarks name.
type wanted struct {
	ordinals map[int]bool
	asked    func() map[string]recaptures.Seen
}

func wantedBy(k Joined) (*wanted, error) {
	var m matched
	l, err := k.learned()
	if err := errors.Join(err, m.join(k.Matched)); err != nil {
		return nil, err
	}
	want := &wanted{ordinals: map[int]bool{}}
	for _, group := range slices.Concat(m.Keys, m.Contents) {
		for _, n := range group {
			want.ordinals[n] = true
		}
	}
	for _, p := range m.Pairs {
		want.ordinals[p[0]], want.ordinals[p[1]] = true, true
	}
	g := &learned{recaught: l.Recaught}
	want.asked = g.asked
	return want, nil
}

// anyOf reports whether anything is wanted of the captures from an ordinal to another.
func (want *wanted) anyOf(from, to int) bool {
	if len(want.asked()) > 0 {
		return true
	}
	for n := from; n < to; n++ {
		if want.ordinals[n] {
			return true
		}
	}
	return false
}

func (k Joined) learned() (l sentLearned, err error) {
	err = each(k.Learned, func(one *sentLearned) error {
		l = *one
		return nil
	})
	return l, err
}

// basis is what captures are judged by. It is not changed: each step works with a
// copy of its walk and verdicts.
type basis struct {
	*walk   // with what was learnt, and the captures that were fetched
	v       verdicts
	sum     *screen.Summary
	tares   *weigh.Known
	sexes   *infer.Inference // fills sexes in
	quality *qualityJudge
	once    sync.Map // what is worked out once, by the key of what it is worked out of
}

// onceOf works something out once of blocks.
func onceOf[T any](know *basis, key any, work func() (T, error)) (T, error) {
	f, _ := know.once.LoadOrStore(key, sync.OnceValues(work))
	return f.(func() (T, error))()
}

func (w *walk) basis(o *outline, k Joined) (*basis, error) {
	own := *w
	know := &basis{walk: &own, quality: own.qualityJudge()}
	inputs, settings, err := own.inferInputs()
	if err == nil {
		know.sexes = infer.New(inputs, settings)
	}
	return know, errors.Join(err, know.learnFrom(o, k), know.prepare(k))
}

// saidOfCauses is what parts say of causes, and the screening that knows it.
type saidOfCauses struct {
	*screen.Causes
	more      func() bool // whether parts are to be searched anew
	screening func() *screen.Screening
}

type causesKey uint64

// causes reads what parts say of causes, once.
func (know *basis) causes(b Blocks) (*saidOfCauses, error) {
	return onceOf(know, causesKey(b.Key), func() (*saidOfCauses, error) {
		c := new(screen.Causes)
		err := each(b, func(one *screen.Causes) error {
			c = one
			return nil
		})
		if err != nil {
			return nil, err
		}
		return &saidOfCauses{c, sync.OnceValue(func() bool { return c.More(know.sum, know.learned.screened) }),
			sync.OnceValue(func() *screen.Screening {
				return screen.Finally(know.sum, know.tables.limits, know.learned.screened, c)
			})}, nil
	})
}

// learnFrom puts what was learnt elsewhere into the walk, as reading would have.
func (know *basis) learnFrom(o *outline, k Joined) error {
	w := know.walk
	if of := w.decided.outcome; of != nil {
		w.whole = slices.Concat(w.whole, of.Findings, of.NotDropped())
	}
	if err := w.learned.open(w); err != nil {
		return err
	}
	var m matched
	l, err := k.learned()
	if err := errors.Join(err, m.join(k.Matched)); err != nil {
		return err
	}
	w.store = store.Some(o.parts)
	err = each(k.Fetched, func(f *fetched) error {
		some, err := store.Unpack(f.Captures)
		for i := range some {
			w.store.Fetched(f.Ordinals[i], some[i])
		}
		return err
	})
	if err != nil {
		return err
	}
	g := &w.learned
	know.tares = weigh.Knowing(l.Tares, m.Sessions)
	if l.Sum != nil {
		g.sum = l.Sum.Under(g.screened)
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
	return w.endRead()
}

// prepare fits the summaries and pairs captures.
func (know *basis) prepare(k Joined) error {
	w := know.walk
	know.sum = w.learned.sum
	if err := w.prepareJudgement(&know.v); err != nil {
		return err
	}
	know.v.known = w.learned.asked()
	at := map[string]int{}
	return each(k.Fetched, func(f *fetched) error {
		for name, s := range f.Seen {
			old := know.v.known[name]
			if old.At.File == "" || s.Date < old.Date || s.Date == old.Date && f.First < at[name] {
				know.v.known[name], at[name] = s, f.First
			}
		}
		return nil
	})
}

// screenedPart is a part on its way to Judge.
type screenedPart struct {
	Named         namedPart
	Before, After []byte // of the store: captures next to it
	Findings      []byte
	Departures    []byte
	Clean         bool                    // it has no cause of many of its own
	Sharing       map[record.Address]bool // captures with cells that a cause of many explains
	Tested        []byte                  // of the store: what the quality tests doubt
	TestedFrom    []byte                  // of each doubt, where it comes from
}

// read reads the blocks of a part, in any order and any of them more than once: the
// part itself, and what stands next to it.
func (p *screenedPart) read(blocks [][]byte) error {
	edges, own := map[int]namedPart{}, false
	for _, block := range blocks {
		var n namedPart
		if err := decodeBlock(block, &n); err != nil {
			return err
		}
		if n.Edge {
			edges[n.First] = n
		} else {
			p.Named, own = n, true
		}
	}
	if !own {
		return errors.New("captures stand next to a part that did not come")
	}
	var before, after []*record.Capture
	for _, first := range slices.Sorted(maps.Keys(edges)) {
		captures, err := store.Unpack(edges[first].Captures)
		if err != nil {
			return err
		}
		if first < p.Named.First {
			before = append(before, captures...)
		} else {
			after = append(after, captures...)
		}
	}
	p.Before, p.After = store.Pack(before), store.Pack(after)
	return nil
}

// beside are the captures next to the part.
func (p *screenedPart) beside() (near screen.Beside, err error) {
	var failed error
	near.Before, err = store.Unpack(p.Before)
	near.After, failed = store.Unpack(p.After)
	return near, errors.Join(err, failed)
}

// Screen judges a part against what is known of all; its blocks are those of Gather,
// with the edges of others. Causes is what it says of causes that only all parts
// together tell; they join in any order.
func (s *Shared) Screen(k Joined, blocks [][]byte) (screened, causes []byte, err error) {
	know, err := s.knowing(k).judged()
	if err != nil {
		return nil, nil, err
	}
	var p screenedPart
	if err := p.read(blocks); err != nil {
		return nil, nil, err
	}
	x := screen.NewScreening(know.sum, know.tables.limits, know.learned.screened)
	if screened, err = know.screen(&p, x); err != nil {
		return nil, nil, err
	}
	causes, err = encode(x.Causes())
	return screened, causes, err
}

// screen judges a part by a screening.
func (know *basis) screen(p *screenedPart, x *screen.Screening) ([]byte, error) {
	captures, err := store.Unpack(p.Named.Captures)
	heard, failed := store.UnpackFindings(p.Named.Heard)
	if err := errors.Join(err, failed); err != nil {
		return nil, err
	}
	w, v := *know.walk, know.v
	w.decided.outcome, w.learned.places = w.decided.outcome.Apart(), located.Positions{}
	v.screening = x
	w.captures, w.findings, w.settled = captures, heard, len(heard)
	if w.rename(p.Named.First) {
		p.Named.Captures = store.Pack(captures)
	}
	near, err := p.beside()
	if err != nil {
		return nil, err
	}
	w.learned.tares = know.tares.Of(w.animals())
	if err := w.screenInHand(p.Named.First, &v, near); err != nil {
		return nil, err
	}
	p.Named.Used = append(p.Named.Used, w.decided.outcome.Used()...)
	p.Clean = !x.InVain()
	if p.Clean {
		p.Tested, p.TestedFrom = know.test(captures)
	}
	p.Findings, p.Sharing = store.PackFindings(w.findings), w.sharing
	if p.Departures, err = encode(x.Departures(near)); err != nil {
		return nil, err
	}
	return encode(p)
}

// JoinCauses joins causes of Screen and Relearn.
func JoinCauses(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	return joinBlocks(blocks, (*screen.Causes).Join)
}

// Rounds is how often Relearn is to be asked for at most.
const Rounds = screen.Rounds

// Relearn searches a screened part anew by what all parts say of causes, and returns
// what it says then. It returns nil where nothing is left to be told, and the part is
// not opened.
func (s *Shared) Relearn(k Joined, causes Blocks, open func() ([]byte, error)) ([]byte, error) {
	know, said, err := s.caused(k, causes)
	if err != nil || !said.more() {
		return nil, err
	}
	p, err := screenedBefore(open)
	if err != nil {
		return nil, err
	}
	captures, err := store.Unpack(p.Named.Captures)
	near, failed := p.beside()
	if err := errors.Join(err, failed); err != nil {
		return nil, err
	}
	beside := screen.Beside{Before: animalsAmong(near.Before), After: animalsAmong(near.After)}
	return encode(screen.Relearn(know.sum, know.tables.limits, know.learned.screened, said.Causes, animalsAmong(captures), beside, p.Clean))
}

// Rescreen judges a screened part by the causes of all parts, if they say so. It
// returns nil where the part stays as it is, and is not opened.
func (s *Shared) Rescreen(k Joined, causes Blocks, open func() ([]byte, error)) ([]byte, error) {
	know, said, err := s.caused(k, causes)
	if err != nil || !said.screening().Told() {
		return nil, err
	}
	p, err := screenedBefore(open)
	if err != nil {
		return nil, err
	}
	return know.screen(p, said.screening().Another())
}

func screenedBefore(open func() ([]byte, error)) (*screenedPart, error) {
	block, err := open()
	if err != nil {
		return nil, err
	}
	p := new(screenedPart)
	return p, decodeBlock(block, p)
}

// caused is what is known once the causes are.
func (s *Shared) caused(k Joined, causes Blocks) (*basis, *saidOfCauses, error) {
	know, err := s.knowing(k).judged()
	if err != nil {
		return nil, nil, err
	}
	said, err := know.causes(causes)
	return know, said, err
}

// Judge takes the screened parts in their order and gives what Finish needs to know
// of each. The findings go to a file as Run writes them. This is one step on one
// machine: habits of hands, species and condition are learnt from part to part, and
// places are withheld in passes over all.
func (s *Shared) Judge(ctx context.Context, k Joined, causes, marks Blocks, screened []func() ([]byte, error), findings io.Writer, give func(part int, verdict []byte) error) (_ *Whole, err error) {
	know, said, err := s.caused(k, causes)
	if err != nil {
		return nil, err
	}
	w, v := know.own(), know.v
	err = foundOnSheets(k.Outline, func(found []record.Finding) error {
		w.whole = append(w.whole, found...)
		return nil
	})
	if err != nil {
		return nil, err
	}
	w.temp = os.TempDir()
	if err := w.openStores(); err != nil {
		return nil, err
	}
	defer w.close(&err)
	if w.tested, err = w.findingsStore(); err != nil {
		return nil, err
	}
	if err := w.learned.follow(marks); err != nil {
		return nil, err
	}
	v.screening = said.screening().Another()
	stages := append([]stage{
		{"receive", func(w *walk) error { return w.receive(screened, &v) }},
		{"screen", func(w *walk) error { return w.judgeReceived(&v) }}}, judged[2:]...)
	stages = append(stages,
		stage{"hand on", func(w *walk) error { return w.handOn(give) }},
		stage{"guard", (*walk).guardDescription},
		stage{"report", func(w *walk) error { return w.writeFindings(findings) }})
	if err := w.along(ctx, stages); err != nil {
		return nil, err
	}
	return w.said()
}

// said is what is known of all captures once they are judged.
func (w *walk) said() (_ *Whole, err error) {
	whole := &Whole{Counts: w.counts, Tables: sentTables(w.laid), Inputs: w.inputNotes(), Findings: w.tally.Levels, ByRule: w.tally.ByRule, Computed: w.computed, Doubts: packDoubts(w.whole)}
	whole.Lines, err = w.verdicts.inference.Lines()
	return whole, err
}

// own is a copy of the walk for the one that judges all parts: what changes in
// between is its own.
func (know *basis) own() *walk {
	w := *know.walk
	w.whole, w.decided.outcome = slices.Clone(w.whole), w.decided.outcome.Apart()
	w.repeated.told, w.learned.places = maps.Clone(w.repeated.told), located.Positions{}
	w.laid = receivedTables(sentTables(w.laid))
	for _, t := range w.laid {
		t.table.Labels = slices.Clone(t.table.Labels)
	}
	return &w
}

// receive stores screened parts, and takes in what is said of the survey as a whole.
// Several are read at once.
func (w *walk) receive(screened []func() ([]byte, error), v *verdicts) error {
	err := parallel.OneByOne(slices.Values(screened), received, func(r *receivedPart) error {
		return errors.Join(w.receivePart(r, v), w.ctx.Err())
	})
	if err != nil {
		return err
	}
	if w.held && w.store.Parts() == 0 {
		w.runs, w.spans = append(w.runs, nil), append(w.spans, nil)
		w.testedFrom = append(w.testedFrom, nil)
		return errors.Join(w.store.Add(nil), w.heard.Add(nil), w.aside.Add(nil), w.tested.Add(nil))
	}
	return nil
}

// receivedPart is what a screened part holds.
type receivedPart struct {
	*screenedPart
	captures             []*record.Capture
	found, aside, tested []record.Finding
	departures           *screen.Departures
	err                  error
}

func received(open func() ([]byte, error)) *receivedPart {
	p, err := screenedBefore(open)
	if err != nil {
		return &receivedPart{err: err}
	}
	r := &receivedPart{screenedPart: p}
	var failed [5]error
	r.captures, failed[0] = store.Unpack(p.Named.Captures)
	r.found, failed[1] = store.UnpackFindings(p.Findings)
	r.aside, failed[2] = store.UnpackFindings(p.Named.Aside)
	r.tested, failed[3] = store.UnpackFindings(p.Tested)
	r.departures = new(screen.Departures)
	failed[4] = decodeBlock(p.Departures, r.departures)
	r.err = errors.Join(failed[:]...)
	return r
}

func (w *walk) receivePart(r *receivedPart, v *verdicts) error {
	if r.err != nil {
		return r.err
	}
	w.runs, w.spans, w.testedFrom = append(w.runs, nil), append(w.spans, spansOf(r.captures)), append(w.testedFrom, r.TestedFrom)
	w.decided.outcome.Use(r.Named.Used)
	v.shared = append(v.shared, r.Sharing)
	v.screening.Take(r.departures)
	return errors.Join(w.store.Add(r.captures), w.heard.Add(r.found), w.aside.Add(r.aside), w.tested.Add(r.tested))
}

// judgeReceived judges the parts further that were screened elsewhere.
func (w *walk) judgeReceived(v *verdicts) error {
	err := w.judgeParts(v, func(w *walk, i int, v *verdicts) (err error) {
		if w.findings, err = w.heard.Run(i); err != nil {
			return err
		}
		w.settled = len(w.findings)
		if i < len(v.shared) {
			w.sharing = v.shared[i]
		}
		if err := w.compareWithOthers(w.store.First(i), v.follows, true); err != nil {
			return err
		}
		w.settle()
		return nil
	})
	w.verdicts = *v
	return err
}
