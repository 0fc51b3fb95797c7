//go:build !onemachine

package pipeline

import (
	"cmp"
	"errors"
	"iter"
	"maps"
	"slices"
	"strconv"

	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/repeats"
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

// namedPart is a part on its way: captures with names, and what was found in them;
// or captures that stand next to another part.
type namedPart struct {
	Part, First            int
	Captures, Heard, Aside []byte // of the store
	Used                   []remedy.Answer
	Edge                   bool
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

// drawn is what goes into one drawer.
type drawn struct {
	Keys, Contents, Days, Marks, Marked []byte
	Sessions                            weigh.Sessions
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
	g.duplicates.Knows(o.sheets)
	g.marks.Knows(o.sheets)
	heard, aside, err := w.hear(b, first, g)
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

// receive adds a piece.
func (b *batch) receive(p Piece) error {
	var in captured
	if err := decodeBlock(p.Data, &in); err != nil {
		return err
	}
	captures, err := store.Unpack(in.Captures)
	found, failed := store.UnpackFindings(in.Found)
	weighing, wrong := store.UnpackFindings(in.Weighing)
	aside, bad := store.UnpackFindings(in.Aside)
	b.captures, b.found = append(b.captures, captures...), append(b.found, found...)
	b.weighing, b.aside = append(b.weighing, weighing...), append(b.aside, aside...)
	return errors.Join(err, failed, wrong, bad)
}

// sentLearned is what is learnt of captures, on its way.
type sentLearned struct {
	Captures, Absences int
	Sum                *screen.Summary
	Tares              weigh.Tares
	Repeats            *repeats.Summary
	Sizes              map[keys.Source]int
	Spots              located.Spots
	Recaught           map[int]recaptures.Said
	Keys               map[int]sentKeys // by the ordinal of the first capture of a stretch
}

// sentKeys are the doubts of the keys of a stretch of consecutive captures.
type sentKeys struct {
	To     int // ordinal of the first capture behind it
	Doubts *keys.Doubts
}

func (w *walk) sentLearned(first int) *sentLearned {
	g := &w.learned
	out := &sentLearned{Captures: w.counts.Captures, Absences: w.counts.Absences, Sum: g.sum, Tares: g.tares, Repeats: &g.repeats,
		Sizes: g.sizes, Spots: g.spots, Recaught: g.recaught, Keys: map[int]sentKeys{}}
	out.Keys[first] = sentKeys{first + w.counts.Captures, &w.keys}
	return out
}

// JoinLearned joins what Gather learnt of sets of parts, in any order; some blocks
// may be empty.
func JoinLearned(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	return joinBlocks(blocks, (*sentLearned).join)
}

// joinBlocks joins what blocks hold, one after the other; some may be empty.
func joinBlocks[T any](blocks iter.Seq2[[]byte, error], join func(to, from *T)) ([]byte, error) {
	var all *T
	err := eachOf(blocks, func(one *T) error {
		if all == nil {
			all = one
		} else {
			join(all, one)
		}
		return nil
	})
	if err != nil || all == nil {
		return nil, err
	}
	return encode(all)
}

func (x *sentLearned) join(y *sentLearned) {
	x.Captures, x.Absences = x.Captures+y.Captures, x.Absences+y.Absences
	x.Sum.Merge(y.Sum)
	for key, tares := range y.Tares {
		if x.Tares == nil {
			x.Tares = weigh.Tares{}
		}
		if x.Tares[key] == nil {
			x.Tares[key] = tares
		} else {
			x.Tares[key].Merge(*tares)
		}
	}
	if x.Repeats == nil {
		x.Repeats = y.Repeats
	} else if y.Repeats != nil {
		x.Repeats.Merge(y.Repeats)
	}
	for at, n := range y.Sizes {
		if x.Sizes == nil {
			x.Sizes = map[keys.Source]int{}
		}
		x.Sizes[at] += n
	}
	x.Spots.Join(y.Spots)
	x.joinRecaught(y.Recaught)
	maps.Copy(x.Keys, y.Keys)
	x.joinKeys()
}

// joinRecaught keeps the remarks of the first captures, as many as are told.
func (x *sentLearned) joinRecaught(more map[int]recaptures.Said) {
	if x.Recaught == nil {
		x.Recaught = map[int]recaptures.Said{}
	}
	maps.Copy(x.Recaught, more)
	if len(x.Recaught) <= maxRecaught {
		return
	}
	ordinals := slices.Sorted(maps.Keys(x.Recaught))
	for _, n := range ordinals[maxRecaught:] {
		delete(x.Recaught, n)
	}
}

// joinKeys joins stretches that follow each other.
func (x *sentLearned) joinKeys() {
	last := -1
	for _, first := range slices.Sorted(maps.Keys(x.Keys)) {
		if before, ok := x.Keys[last]; ok && before.To == first {
			before.Doubts.Follow(x.Keys[first].Doubts)
			x.Keys[last] = sentKeys{x.Keys[first].To, before.Doubts}
			delete(x.Keys, first)
			continue
		}
		last = first
	}
}

func (x *sentLearned) keyDoubts() (out keys.Doubts) {
	for _, first := range slices.Sorted(maps.Keys(x.Keys)) {
		out.Follow(x.Keys[first].Doubts)
	}
	return out
}

// matched is what Match says of drawers.
type matched struct {
	Keys, Contents [][]int // ordinals of captures with equal ones
	Pairs          [][2]int
	Company        map[uint64]int
	Sessions       weigh.Across
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
	days.Knows(o.sheets)
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

// eachDrawn hands over the blocks of a drawer, each once.
func eachDrawn(blocks [][]byte, do func(*drawn) error) error {
	slices.SortFunc(blocks, slices.Compare)
	for i, block := range blocks {
		if i > 0 && slices.Equal(block, blocks[i-1]) {
			continue
		}
		var d drawn
		if err := decodeBlock(block, &d); err != nil {
			return err
		}
		if err := do(&d); err != nil {
			return err
		}
	}
	return nil
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

// join adds what is said of other drawers.
func (m *matched) join(blocks Blocks) error {
	m.Company = map[uint64]int{}
	err := each(blocks, func(o *matched) error {
		m.Keys, m.Contents, m.Pairs = append(m.Keys, o.Keys...), append(m.Contents, o.Contents...), append(m.Pairs, o.Pairs...)
		maps.Copy(m.Company, o.Company)
		m.Sessions.Join(o.Sessions)
		return nil
	})
	byFirst := func(a, b []int) int { return cmp.Compare(a[0], b[0]) }
	slices.SortFunc(m.Keys, byFirst)
	slices.SortFunc(m.Contents, byFirst)
	return err
}

// fetched are captures of a part that others are compared with, by their ordinals,
// and those of animals that remarks name.
type fetched struct {
	First    int
	Ordinals []int
	Captures []byte // of the store
	Seen     map[string]recaptures.Seen
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

// Marked is what the drawers say of marks: of each drawer a block of CountMarks, of
// LearnMarks and of FollowMarks, in any order.
type Marked struct{ Counts, Signs, Followed [][]byte }

// Block is what is said of marks as one block, for Seek, Look, Judge and Tell.
func (m Marked) Block() ([]byte, error) { return encode(m) }

// markSigns is what one drawer tells.
type markSigns struct {
	Drawer int
	Signs  []byte
}

// markFollowed is what is to be compared, and linked, of one drawer.
type markFollowed struct {
	Pairs [][2]int
	All   int
	Links [][]int
}

// marksIn are the marked captures of a drawer.
func (s *Shared) marksIn(k Joined, blocks [][]byte) (*screen.Marks, *store.EqualTexts, error) {
	o, err := s.knowing(k).outline()
	if err != nil {
		return nil, nil, err
	}
	marks, marked := screen.NewMarks(s.walk.temp), store.NewEqualTexts(s.walk.temp)
	marks.Knows(o.sheets)
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

// signs are those of all drawers in their order.
func (m Marked) signs() (out [][]byte, err error) {
	var all []markSigns
	for _, block := range m.Signs {
		var one markSigns
		if err := decodeBlock(block, &one); err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	slices.SortFunc(all, func(a, b markSigns) int { return cmp.Compare(a.Drawer, b.Drawer) })
	for _, one := range all {
		out = append(out, one.Signs)
	}
	return out, nil
}

// follow puts what was found of marks into what was learnt.
func (g *learned) follow(marks Blocks) error {
	var m Marked
	err := each(marks, func(one *Marked) error {
		m = *one
		return nil
	})
	if err != nil {
		return err
	}
	var found markFollowed
	for _, block := range m.Followed {
		var one markFollowed
		if err := decodeBlock(block, &one); err != nil {
			return err
		}
		found.Pairs, found.All = append(found.Pairs, one.Pairs...), found.All+one.All
		found.Links = append(found.Links, one.Links...)
	}
	signs, err := m.signs()
	if err != nil {
		return err
	}
	g.marked = store.Equal(found.Links)
	g.marks, err = screen.FoundMarks(m.Counts, signs, found.Pairs, found.All)
	return err
}
