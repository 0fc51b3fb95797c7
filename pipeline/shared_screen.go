//go:build !onemachine

package pipeline

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"strconv"

	"spadefoot/pipeline/parallel"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/weigh"
)

// PartOf is the part that a piece belongs to; false where it does not count.
func (s *Shared) PartOf(k Joined, p Piece) (int, bool, error) {
	o, err := s.knowing(k).outline()
	if err != nil {
		return 0, false, err
	}
	part, counts := o.of[[3]int{p.Sheet, p.Attempt, p.Number}]
	return part, counts, nil
}

// Gathered is what Gather returns of a part: the part itself, what is learnt of it,
// drawers for Match, and by their numbers what the parts before and behind it have
// next to them.
type Gathered struct {
	Part    []byte
	Learned []byte
	Drawers map[int][]byte
	Edges   map[int][]byte
}

// Gather puts the pieces of a part together, in any order, any of them more than
// once: it names the captures and learns what judging them needs to know of all.
func (s *Shared) Gather(k Joined, part int, pieces []Piece) (*Gathered, error) {
	know := s.knowing(k)
	o, err := know.outline()
	if err != nil {
		return nil, err
	}
	slices.SortFunc(pieces, func(a, b Piece) int { return a.compare(&b) })
	pieces = slices.CompactFunc(pieces, func(a, b Piece) bool { return a.compare(&b) == 0 })
	b := batch{weighed: true}
	for _, p := range pieces {
		if err := b.receive(p); err != nil {
			return nil, err
		}
	}
	told, err := know.told()
	if err != nil {
		return nil, err
	}
	w := *told
	w.whole, w.decided.outcome = nil, told.decided.outcome.Apart()
	if err := w.learned.open(&w); err != nil {
		return nil, err
	}
	g, first := &w.learned, o.first(part)
	g.duplicates.NumberSheets(o.sheets)
	g.marks.NumberSheets(o.sheets)
	heard, aside, err := w.nameAndWeigh(b, first, g)
	if err != nil {
		return nil, err
	}
	if err := w.learn(w.captures, first); err != nil {
		return nil, err
	}
	out := &Gathered{Drawers: map[int][]byte{}}
	if out.Part, err = encode(namedPart{Part: part, First: first, Captures: store.Pack(w.captures), Heard: store.PackFindings(heard), Aside: store.PackFindings(aside), Used: w.decided.outcome.Used()}); err != nil {
		return nil, err
	}
	if out.Edges, err = o.edges(part, w.captures); err != nil {
		return nil, err
	}
	if out.Learned, err = encode(w.sentLearned(first)); err != nil {
		return nil, err
	}
	n := DrawerBits(o.captures)
	named, contents, days, marks, marked := g.keys.Packed(n), g.contents.Packed(n), g.duplicates.Packed(n), g.marks.Packed(n), map[int][]byte{}
	if s.InOrder() { // else Link finds them
		marked = g.marked.Packed(n)
	}
	sessions := g.tares.Sessions(func(group string, mark uint64) int {
		return store.DrawerOf(group+strconv.FormatUint(mark, 36), n)
	})
	for drawer := range 1 << n {
		d := drawn{named[drawer], contents[drawer], days[drawer], marks[drawer], marked[drawer], sessions[drawer]}
		if len(d.Keys)+len(d.Contents)+len(d.Days)+len(d.Marks)+len(d.Sessions) == 0 {
			continue
		}
		if out.Drawers[drawer], err = encode(d); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (w *walk) sentLearned(first int) *sentLearned {
	g := &w.learned
	out := &sentLearned{Captures: w.counts.Captures, Absences: w.counts.Absences, Sum: g.sum, Tares: g.tares, Repeats: &g.repeats,
		Sizes: g.sizes, Spots: g.spots, Recaught: g.recaught, Keys: map[int]sentKeys{}}
	out.Keys[first] = sentKeys{first + w.counts.Captures, &w.keys}
	return out
}

// Match finds what captures have in common, from the blocks of one drawer in any
// order, any of them more than once.
func (s *Shared) Match(k Joined, blocks [][]byte) (_ []byte, err error) {
	o, err := s.knowing(k).outline()
	if err != nil {
		return nil, err
	}
	temp := s.walk.temp
	named, contents, days := store.NewEqualTexts(temp), store.NewEqualTexts(temp), screen.NewDuplicates(temp)
	defer func() { err = errors.Join(err, named.Close(), contents.Close(), days.Close()) }()
	days.NumberSheets(o.sheets)
	sessions := weigh.Sessions{}
	err = eachDrawn(blocks, func(d *drawn) error {
		sessions.Add(d.Sessions)
		return errors.Join(named.AddPacked(d.Keys), contents.AddPacked(d.Contents), days.AddPacked(d.Days))
	})
	if err != nil {
		return nil, err
	}
	m := matched{Sessions: sessions.Across()}
	if m.Keys, err = groupsOf(named); err != nil {
		return nil, err
	}
	if m.Contents, err = groupsOf(contents); err != nil {
		return nil, err
	}
	if m.Pairs, m.Company, err = days.Alike(); err != nil {
		return nil, err
	}
	return encode(m)
}

func groupsOf(t *store.EqualTexts) (out [][]int, err error) {
	for group, err := range t.Groups() {
		if err != nil {
			return nil, err
		}
		out = append(out, slices.Clone(group))
	}
	return out, nil
}

// Fetch returns what others want of a part. It returns nil where they want nothing,
// and the part is not opened.
func (s *Shared) Fetch(k Joined, part int, open func() ([]byte, error)) ([]byte, error) {
	know := s.knowing(k)
	o, failed := know.outline()
	want, err := know.wanted()
	if err = errors.Join(err, failed); err != nil {
		return nil, err
	}
	if first := o.first(part); !want.anyOf(first, first+o.parts[part]) {
		return nil, nil
	}
	block, err := open()
	if err != nil {
		return nil, err
	}
	var in namedPart
	if err := decodeBlock(block, &in); err != nil {
		return nil, err
	}
	captures, err := store.Unpack(in.Captures)
	if err != nil {
		return nil, err
	}
	out := fetched{First: in.First, Seen: map[string]recaptures.Seen{}}
	var some []*record.Capture
	asked := want.asked()
	for i, c := range captures {
		recaptures.LookAmong(asked, c)
		if want.ordinals[in.First+i] {
			some, out.Ordinals = append(some, c), append(out.Ordinals, in.First+i)
		}
	}
	for name, s := range asked {
		if s.At.File != "" {
			out.Seen[name] = s
		}
	}
	out.Captures = store.Pack(some)
	return encode(out)
}

// marksIn are the marked captures of a drawer.
func (s *Shared) marksIn(k Joined, blocks [][]byte) (*screen.Marks, *store.EqualTexts, error) {
	o, err := s.knowing(k).outline()
	if err != nil {
		return nil, nil, err
	}
	marks, marked := screen.NewMarks(s.walk.temp), store.NewEqualTexts(s.walk.temp)
	marks.NumberSheets(o.sheets)
	err = eachDrawn(blocks, func(d *drawn) error { return errors.Join(marks.AddPacked(d.Marks), marked.AddPacked(d.Marked)) })
	return marks, marked, err
}

// CountMarks counts the captures of one mark in a drawer that contradict each other.
func (s *Shared) CountMarks(k Joined, blocks [][]byte) (_ []byte, err error) {
	marks, marked, err := s.marksIn(k, blocks)
	defer func() { err = errors.Join(err, marks.Close(), marked.Close()) }()
	if err != nil {
		return nil, err
	}
	return marks.Count()
}

// LearnMarks gathers what the recaptures of a drawer tell.
func (s *Shared) LearnMarks(k Joined, m Marked, drawer int, blocks [][]byte) (_ []byte, err error) {
	marks, marked, err := s.marksIn(k, blocks)
	defer func() { err = errors.Join(err, marks.Close(), marked.Close()) }()
	if err = errors.Join(err, marks.Within(m.Counts)); err != nil {
		return nil, err
	}
	signs, err := marks.Signs()
	if err != nil {
		return nil, err
	}
	return encode(markSigns{drawer, signs})
}

// FollowMarks pairs the captures of a drawer that are to be compared or linked, by
// what all of them tell.
func (s *Shared) FollowMarks(k Joined, causes Blocks, m Marked, blocks [][]byte) (_ []byte, err error) {
	marks, marked, err := s.marksIn(k, blocks)
	defer func() { err = errors.Join(err, marks.Close(), marked.Close()) }()
	signs, failed := m.signs()
	if err = errors.Join(err, failed, marks.Within(m.Counts)); err != nil {
		return nil, err
	}
	know, said, err := s.caused(k, causes)
	if err != nil {
		return nil, err
	}
	var out markFollowed
	if out.Pairs, out.All, err = marks.Suspects(signs, said.screening().Summary(), know.tables.limits, know.learned.screened); err != nil {
		return nil, err
	}
	if out.Links, err = groupsOf(marked); err != nil {
		return nil, err
	}
	return encode(out)
}

// Rounds is how often Relearn is to be asked for at most.
const Rounds = screen.Rounds

// receivedPart is what a screened part holds.
type receivedPart struct {
	*screenedPart
	captures             []*record.Capture
	found, aside, tested []record.Finding
	departures           *screen.Contribution
	err                  error
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
	if err := w.screenCaptures(p.Named.First, &v, near); err != nil {
		return nil, err
	}
	p.Named.Used = append(p.Named.Used, w.decided.outcome.Used()...)
	p.Clean = !x.Superseded()
	if p.Clean {
		p.Tested, p.TestedFrom = know.test(captures)
	}
	p.Findings, p.Sharing = store.PackFindings(w.findings), w.sharing
	if p.Departures, err = encode(x.Contribution(near)); err != nil {
		return nil, err
	}
	return encode(p)
}

// Relearn searches a screened part again, given the causes found in all parts, and
// returns its new gains. It returns nil where no cause is left to be found, and then
// does not open the part.
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
	if err != nil || !said.screening().Rejudges() {
		return nil, err
	}
	p, err := screenedBefore(open)
	if err != nil {
		return nil, err
	}
	return know.screen(p, said.screening().Another())
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
		stage{"hand on", func(w *walk) error { return w.passOn(give) }},
		stage{"guard", (*walk).guardDescription},
		stage{"report", func(w *walk) error { return w.writeFindings(findings) }})
	if err := w.along(ctx, stages); err != nil {
		return nil, err
	}
	return w.conclusion()
}

// conclusion is what is known of all captures once they are judged.
func (w *walk) conclusion() (_ *Whole, err error) {
	whole := &Whole{Counts: w.counts, Tables: sentTables(w.laid), Inputs: w.inputNotes(), Findings: w.tally.Levels, ByRule: w.tally.ByRule, Computed: w.computed, Doubts: packDoubts(w.whole)}
	whole.Lines, err = w.verdicts.inference.Lines()
	return whole, err
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
		return errors.Join(w.store.Add(nil), w.fromReading.Add(nil), w.aside.Add(nil), w.tested.Add(nil))
	}
	return nil
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
	r.departures = new(screen.Contribution)
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
	return errors.Join(w.store.Add(r.captures), w.fromReading.Add(r.found), w.aside.Add(r.aside), w.tested.Add(r.tested))
}

// judgeReceived judges the parts further that were screened elsewhere.
func (w *walk) judgeReceived(v *verdicts) error {
	err := w.judgeParts(v, func(w *walk, i int, v *verdicts) (err error) {
		if w.findings, err = w.fromReading.Run(i); err != nil {
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
