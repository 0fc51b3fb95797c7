//go:build !onemachine

package pipeline

import (
	"cmp"
	"errors"
	"maps"
	"math/bits"
	"slices"
	"sort"
	"sync"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/weigh"
)

// outlined reads the headings of all pieces, in any order, any of them more than
// once.
func (s *Shared) outlined(headings Blocks) (*outline, error) {
	var all []Piece
	about := map[int]sheetRead{} // by sheet
	err := each(headings, func(h *heading) error {
		read, some, err := h.about()
		if some {
			read.Found = nil // foundOnSheets hands it over
			about[read.Sheet] = read
		}
		h.Piece.Data = nil
		all = append(all, h.Piece)
		return err
	})
	if err != nil {
		return nil, err
	}
	slices.SortFunc(all, func(a, b Piece) int { return a.compare(&b) })
	o := &outline{of: map[[3]int]int{}}
	sheet, attempt, waiting, some := -1, -1, 0, s.walk.held
	for i := range all {
		p := &all[i]
		if i > 0 && p.compare(&all[i-1]) == 0 {
			continue
		}
		if p.Number == AboutSheet {
			o.about = append(o.about, about[p.Sheet])
			sheet, attempt = p.Sheet, p.Attempt
			continue
		}
		if p.Sheet != sheet || p.Attempt != attempt {
			continue // of an attempt that came to nothing
		}
		o.of[[3]int{p.Sheet, p.Attempt, p.Number}] = len(o.parts)
		o.captures += p.Captures
		some = true
		if waiting += p.Captures; waiting >= s.walk.partRows {
			o.parts, waiting, some = append(o.parts, waiting), 0, false
		}
	}
	if some {
		o.parts = append(o.parts, waiting)
	}
	first := 0
	for _, captures := range o.parts {
		o.firsts, first = append(o.firsts, first), first+captures
	}
	o.listSheets()
	return o, nil
}

// first is the ordinal of the first capture of a part.
func (o *outline) first(part int) int { return o.firsts[part] }

// holding is the part that holds a capture, and the ordinal of its first one.
func (o *outline) holding(ordinal int) (part, first int) {
	part = sort.SearchInts(o.firsts, ordinal+1) - 1
	return part, o.firsts[part]
}

// edges are, by their numbers, what other parts have next to them of the captures
// of a part.
func (o *outline) edges(part int, captures []*record.Capture) (map[int][]byte, error) {
	out := map[int][]byte{}
	first := o.first(part)
	give := func(to, from, end int) (some bool, err error) {
		from, end = max(from, first), min(end, first+len(captures))
		if from < end {
			out[to], err = encode(namedPart{Part: to, First: from, Captures: store.Pack(captures[from-first : end-first]), Edge: true})
		}
		return from < end, err
	}
	some, err := true, error(nil)
	for to, at := part-1, first; to >= 0 && some && err == nil; to-- {
		some, err = give(to, at, at+screen.Neighbours)
		at -= o.parts[to]
	}
	some = true
	for to, at := part+1, first+len(captures); to < len(o.parts) && some && err == nil; to++ {
		some, err = give(to, at-screen.Neighbours, at)
		at += o.parts[to]
	}
	return out, err
}

// listSheets lists the files and tabs, in one order for all machines.
func (o *outline) listSheets() {
	for i := range o.about {
		for _, t := range o.about[i].Tables {
			o.sheets = append(o.sheets, [2]string{t.Table.File, t.Table.Sheet})
		}
	}
	slices.SortFunc(o.sheets, func(a, b [2]string) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	o.sheets = slices.Compact(o.sheets)
}

// inDrawer is the number of captures that a drawer of Match is for.
const inDrawer = 1 << 20

// DrawerBits is how many bits of a digest name its drawer, of so many captures.
func DrawerBits(captures int) int { return bits.Len(uint(captures / inDrawer)) }

// withOutline is a copy of the walk that knows what reading the sheets would have shown, but
// for the findings.
func (w *walk) withOutline(o *outline) *walk {
	own := *w
	w = &own
	for _, name := range w.survey.LeftAlone {
		w.whole = append(w.whole, sheet.LeftAlone(name))
	}
	w.whole = slices.Clip(slices.Concat(w.whole, w.tables.checks.Unread, w.onSheets.Unread))
	w.inputs, w.decided.outcome = w.inputs.Clone(), w.decided.outcome.Apart()
	for i := range o.about {
		about := &o.about[i]
		c := &w.counts
		c.Sheets += about.Counts.Sheets
		c.RowsRead += about.Counts.RowsRead
		c.Tables += about.Counts.Tables
		c.Dropped += about.Counts.Dropped
		c.TableRows += about.Counts.TableRows
		for _, one := range about.Sheets {
			w.sheets = append(w.sheets, sheetOf{about.Sheet, one})
		}
		w.laid = append(w.laid, receivedTables(about.Tables)...)
		w.inputs.Add(about.Inputs)
		w.decided.outcome.Learn(about.Did)
	}
	return w
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
				return s.walk.withOutline(o), nil
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

// knownCauses are the causes of all parts, and the screening by them.
type knownCauses struct {
	*screen.Causes
	more      func() bool // whether parts are to be searched anew
	screening func() *screen.Screening
}

type causesKey uint64

// causes reads the causes of all parts, once.
func (know *basis) causes(b Blocks) (*knownCauses, error) {
	return onceOf(know, causesKey(b.Key), func() (*knownCauses, error) {
		c := new(screen.Causes)
		err := each(b, func(one *screen.Causes) error {
			c = one
			return nil
		})
		if err != nil {
			return nil, err
		}
		return &knownCauses{c, sync.OnceValue(func() bool { return c.More(know.sum, know.learned.screened) }),
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

// own is a copy of the walk for the one that judges all parts: what changes in
// between is its own.
func (know *basis) own() *walk {
	w := *know.walk
	w.whole, w.decided.outcome = slices.Clone(w.whole), w.decided.outcome.Apart()
	w.repeated.counts, w.learned.places = maps.Clone(w.repeated.counts), located.Positions{}
	w.laid = receivedTables(sentTables(w.laid))
	for _, t := range w.laid {
		t.table.Labels = slices.Clone(t.table.Labels)
	}
	return &w
}

// caused is what is known once the causes are.
func (s *Shared) caused(k Joined, causes Blocks) (*basis, *knownCauses, error) {
	know, err := s.knowing(k).judged()
	if err != nil {
		return nil, nil, err
	}
	said, err := know.causes(causes)
	return know, said, err
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
