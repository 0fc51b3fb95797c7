//go:build !onemachine

package pipeline

import (
	"bytes"
	"cmp"
	"encoding/gob"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"

	"spadefoot/pipeline/infer"
	"spadefoot/pipeline/keys"
	"spadefoot/pipeline/output"
	"spadefoot/pipeline/place/located"
	"spadefoot/pipeline/recaptures"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/remedy"
	"spadefoot/pipeline/repeats"
	"spadefoot/pipeline/report"
	"spadefoot/pipeline/report/findings"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/store"
	"spadefoot/pipeline/weigh"
)

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

// Piece is a piece of a sheet on its way to its part.
type Piece struct {
	Sheet    int // index of the sheet
	Attempt  int // a sheet whose rows contradict its first ones is read a second time
	Number   int // within the attempt; AboutSheet is what is said of the sheet, and comes before the others
	Captures int
	Data     []byte
}

func (p *Piece) compare(o *Piece) int {
	return cmp.Or(cmp.Compare(p.Sheet, o.Sheet), cmp.Compare(min(p.Number, 0), min(o.Number, 0)),
		cmp.Compare(p.Attempt, o.Attempt), cmp.Compare(p.Number, o.Number))
}

// AboutSheet is the number of the piece that says how the sheet was read.
const AboutSheet = -1

// captured are captures of one sheet in a Piece.
type captured struct {
	Captures, Found, Weighing, Aside []byte // of the store
}

// sheetRead is what is said of a sheet in a Piece.
type sheetRead struct {
	Sheet   int // its index
	Attempt int // the one that counts
	Counts  Counts
	Sheets  []record.Sheet
	Tables  []tableSent
	Found   []byte // of the store: findings on the sheet, and on cells of all its captures
	Inputs  []output.Input
	Did     remedy.Effects
}

// tableSent is a tableOf on its way, without rows.
type tableSent struct {
	Ref, Rows       int
	Table           record.Table
	Filled, Dropped []int
}

func sentTables(laid []*tableOf) []tableSent {
	out := make([]tableSent, len(laid))
	for i, t := range laid {
		out[i] = tableSent{t.ref, t.rows, *t.table, t.filled, t.dropped}
	}
	return out
}

func receivedTables(sent []tableSent) []*tableOf {
	out := make([]*tableOf, len(sent))
	for i := range sent {
		t := &sent[i]
		out[i] = &tableOf{ref: t.Ref, table: &t.Table, rows: t.Rows, filled: t.Filled, dropped: t.Dropped}
	}
	return out
}

func encode(v any) ([]byte, error) {
	var b bytes.Buffer
	err := gob.NewEncoder(&b).Encode(v)
	return b.Bytes(), err
}

func decodeBlock(b []byte, v any) error {
	if err := gob.NewDecoder(bytes.NewReader(b)).Decode(v); err != nil {
		return fmt.Errorf("a block between two machines: %w", err)
	}
	return nil
}

// heading is what the outline knows of a piece.
type heading struct {
	Piece Piece // its data only where it is about the sheet
}

// Heading is what the outline is made from, of one piece.
func (p Piece) Heading() ([]byte, error) {
	if p.Number != AboutSheet {
		p.Data = nil
	}
	return encode(heading{p})
}

// about is what is said of a sheet, where a heading is about one.
func (h *heading) about() (read sheetRead, some bool, err error) {
	if some = h.Piece.Number == AboutSheet; some {
		err = decodeBlock(h.Piece.Data, &read)
	}
	return read, some, err
}

// foundOnSheets calls do with what reading the sheets found, sheet by sheet in their
// order. No outline keeps it: a sheet may have ten thousand cells of one finding.
func foundOnSheets(headings Blocks, do func([]record.Finding) error) error {
	found := map[int][]byte{} // by sheet
	err := each(headings, func(h *heading) error {
		read, some, err := h.about()
		if some {
			found[read.Sheet] = read.Found
		}
		return err
	})
	for _, sheet := range slices.Sorted(maps.Keys(found)) {
		if err == nil {
			var some []record.Finding
			if some, err = store.UnpackFindings(found[sheet]); err == nil {
				err = do(some)
			}
		}
	}
	return err
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

// drawn is what goes into one drawer.
type drawn struct {
	Keys, Contents, Days, Marks, Marked []byte
	Sessions                            weigh.Sessions
}

// eachDrawn calls do with the blocks of a drawer, each once.
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

// namedPart is a part on its way: captures with names, and what was found in them;
// or captures that stand next to another part.
type namedPart struct {
	Part, First            int
	Captures, Heard, Aside []byte // of the store
	Used                   []remedy.Answer
	Edge                   bool
}

// sentLearned is what is learnt of captures, on its way.
type sentLearned struct {
	Captures, Absences int
	Sum                *screen.Summary
	Tares              weigh.Tares
	Repeats            *repeats.Summary
	Sizes              map[keys.Source]int
	Spots              located.Spots
	Recaught           map[int]recaptures.Mention
	Keys               map[int]sentKeys // by the ordinal of the first capture of a stretch
}

// sentKeys are the doubts of the keys of a stretch of consecutive captures.
type sentKeys struct {
	To     int // ordinal of the first capture behind it
	Doubts *keys.Doubts
}

// JoinLearned joins what Gather learnt of sets of parts, in any order; some blocks
// may be empty.
func JoinLearned(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	return joinBlocks(blocks, (*sentLearned).join)
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

// joinRecaught keeps the remarks of the first captures, as many as are reported.
func (x *sentLearned) joinRecaught(more map[int]recaptures.Mention) {
	if x.Recaught == nil {
		x.Recaught = map[int]recaptures.Mention{}
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

// Marked is what the drawers say of marks: of each drawer a block of CountMarks, of
// LearnMarks and of FollowMarks, in any order.
type Marked struct{ Counts, Signs, Followed [][]byte }

// Block is what is said of marks as one block, for Seek, Infer, Judge and Conclude.
func (m Marked) Block() ([]byte, error) { return encode(m) }

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
// part itself, and the captures on either side of it.
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
		return errors.New("captures arrived for the edge of a part that did not arrive")
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

func screenedBefore(open func() ([]byte, error)) (*screenedPart, error) {
	block, err := open()
	if err != nil {
		return nil, err
	}
	p := new(screenedPart)
	return p, decodeBlock(block, p)
}

// JoinCauses joins causes of Screen and Relearn.
func JoinCauses(blocks iter.Seq2[[]byte, error]) ([]byte, error) {
	return joinBlocks(blocks, (*screen.Causes).Join)
}

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
	Findings findings.Counts
	ByRule   map[string]int
	Computed string // how derived readings came about, for the methods
	Lines    []byte // of condition
	Doubts   []byte // errors and warnings on the survey as a whole, as the store keeps them
}

// verdict is what is said of a part, for Finish and Conclude. All but numbers is of the
// store or encoded.
type verdict struct {
	First    int            // ordinal of its first capture
	Finished []byte         // captures as they are published; nil where Finish makes them
	Found    []byte         // findings; of Judge errors and warnings only
	Species  []byte         // findings of Compare
	Aside    []byte         // those that are reported with another cell
	Standing []byte         // of the animals among the lines of condition
	Links    map[int]string // by the index of a capture, the identifier of the one before it

	Tested, TestedFrom []byte // what the quality tests doubt
	Compared           *infer.Compared
}

// NoVerdict is the verdict on a survey without captures, whose archive has its
// headings.
func NoVerdict() ([]byte, error) { return encode(verdict{Finished: store.Pack(nil)}) }

func packDoubts(fs []record.Finding) []byte {
	return store.PackFindings(slices.DeleteFunc(slices.Clone(fs), func(f record.Finding) bool { return f.Level < record.Warning }))
}
