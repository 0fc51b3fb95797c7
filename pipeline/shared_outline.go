//go:build !onemachine

package pipeline

import (
	"cmp"
	"maps"
	"math/bits"
	"slices"
	"sort"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/screen"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/store"
)

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

// outline says which pieces make which part, as Run cuts a survey, and what is said
// of the sheets.
type outline struct {
	parts    []int // captures of each
	firsts   []int // ordinal of the first capture of each
	of       map[[3]int]int
	about    []sheetRead
	sheets   [][2]string // files and tabs
	captures int
}

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

// told is a copy of the walk that knows of the sheets what reading them would have told,
// but for what was found.
func (w *walk) told(o *outline) *walk {
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

// foundOnSheets hands over what reading the sheets found, sheet by sheet in their
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
