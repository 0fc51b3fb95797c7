package report

import (
	"math"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/schemas"
)

// Bounds of what is kept of the causes of a large survey. Causes beyond
// maxCauses that come last in the order of the page are dropped: one of them
// that comes again begins anew, so its captures count from there, and it counts
// as one more cause. The page shows the first maxEntries only, a tenth of
// them.
const (
	maxCauses = 2000
	maxTold   = 8  // findings of a cause that are reported one by one
	maxKeys   = 32 // sayings that a cause is known by
)

// merging is what an entry needs in a large survey.
type merging struct {
	into    *entry // the one that it became part of; nil for none
	keys    []uint64
	chosen  int // captures that it has drawn
	dropped bool
	fresh   []record.Address // its cells in the part that is added
	asked   *record.Finding  // the leading finding when its row was asked for
}

// now is the entry that this one is part of by now.
func (e *entry) now() *entry {
	for e.into != nil {
		e = e.into
	}
	return e
}

// causes are those of a large survey, in the order of the page.
type causes struct {
	all   []*entry
	by    map[uint64]*entry
	n     int  // with those that were dropped
	about bool // n may count a cause twice

	cells map[record.Address]*entry // where causes show; nil while parts are added, which have no cell in common
}

// merge takes the doubts of a part into the causes.
func (g *Gatherer) merge(doubts []*record.Finding, own *owners) {
	if len(doubts) == 0 {
		return
	}
	cs := &g.causes
	if cs.by == nil {
		cs.by = map[uint64]*entry{}
	}
	before := len(g.kept)
	for _, part := range entriesOf(doubts, own) {
		to := cs.join(part, g.findingsKept())
		to.fresh = append(to.fresh, part.cells...)
		for _, f := range part.Findings {
			for _, s := range to.take(f, own) {
				if to.choose(s) && !s.kept {
					s.kept = true
					g.kept = append(g.kept, s)
				}
			}
		}
		to.absorb(part.brief(g.rows, g.findingsKept()), g.findingsKept())
	}
	if more := g.kept[before:]; len(more) > 0 { // they are of the last part
		first := slices.MinFunc(more, byOrder)
		at, _ := slices.BinarySearchFunc(g.kept[:before], first, byOrder)
		sorting.Func(g.kept[at:], byOrder)
	}
	cs.all = slices.DeleteFunc(cs.all, func(e *entry) bool { return e.into != nil })
	sortEntries(cs.all)
	for i, e := range cs.all {
		if i < maxEntries && e.fresh != nil && e.asked != e.Findings[0] {
			g.askLarge(e)
		}
		e.fresh = nil
	}
}

// askLarge asks for the row of an entry in the part that is added.
func (g *Gatherer) askLarge(e *entry) {
	if g.asked.Rows == nil {
		return
	}
	f := *e.Findings[0]
	f.Also = slices.Concat(e.cells, e.fresh)
	if row := g.asked.Rows(f); row != nil {
		e.Row, e.asked = clonedRow(around(row)), e.Findings[0]
	}
}

// findingsKept is how many findings of a cause are kept.
func (g *Gatherer) findingsKept() int {
	if g.asked.Whole {
		return math.MaxInt
	}
	return maxTold
}

// brief is what is kept of an entry of a part: copies of the findings and cells
// that the page can tell of. rows are those that are known already, told how many
// findings are kept.
func (e *entry) brief(rows map[*record.Finding][]Neighbour, told int) *entry {
	out := &entry{rank: e.rank, touched: e.touched, More: max(0, len(e.Findings)-told), unlisted: max(0, len(e.cells)-1-maxCells)}
	for _, f := range e.Findings[:min(len(e.Findings), told)] {
		short := *f
		if told == maxTold {
			short.Also = nil
			if at, ok := beforeOf(f); ok {
				short.Also = []record.Address{at}
			}
		}
		out.Findings = append(out.Findings, cloned(&short))
	}
	out.cells = clonedAddresses(e.cells[:min(len(e.cells), 1+maxCells)], out.Findings[0].At)
	if row := rows[e.Findings[0]]; row != nil {
		out.Row, out.asked = row, out.Findings[0]
	}
	return out
}

// byOrder sorts sketches as their captures came.
func byOrder(a, b *sketch) int { return a.order - b.order }

// join finds the cause that says the same as a part's, makes one of several,
// or a new one.
func (cs *causes) join(part *entry, told int) *entry {
	var to *entry
	var keys []uint64
	for _, f := range part.Findings {
		if k := saying(f); len(keys) < maxKeys && !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	same := make([]*entry, 0, len(keys)+len(part.cells))
	for _, k := range keys {
		same = append(same, cs.by[k])
	}
	if cs.cells != nil {
		for _, a := range part.cells {
			same = append(same, cs.cells[a])
		}
	}
	for _, e := range same {
		if e == nil || e.now() == to {
			continue
		}
		if e = e.now(); to == nil {
			to = e
			continue
		}
		to.absorb(e, told)
		to.chosen += e.chosen
		to.fresh = append(to.fresh, e.fresh...)
		for _, k := range e.keys {
			cs.by[k] = to
			to.keys = append(to.keys, k)
		}
		*e = entry{merging: merging{into: to}}
		cs.n--
	}
	if to == nil {
		to = &entry{}
		cs.all = append(cs.all, to)
		cs.n++
	}
	for _, k := range keys {
		if cs.by[k] == nil && len(to.keys) < maxKeys {
			cs.by[k] = to
			to.keys = append(to.keys, k)
		}
	}
	return to
}

// absorb adds another entry of the same cause, as far as the page can tell of
// it.
func (e *entry) absorb(o *entry, told int) {
	all := slices.Concat(e.Findings, o.Findings)
	sorting.StableFunc(all, leading)
	e.More += o.More + max(0, len(all)-told)
	e.Findings = all[:min(len(all), told)]
	if o.asked != nil && o.asked == all[0] {
		e.Row, e.asked = o.Row, o.asked
	}
	e.rank = weight(schemas.RuleOf()[all[0].Rule].Stage)
	e.touched += o.touched
	e.unlisted += o.unlisted
	for _, a := range o.cells {
		if !slices.Contains(e.cells, a) {
			e.cells = append(e.cells, a)
		}
	}
	if i := slices.Index(e.cells, all[0].At); i > 0 { // the leading finding's first
		e.cells = slices.Insert(slices.Delete(e.cells, i, i+1), 0, all[0].At)
	}
	if n := len(e.cells) - 1 - maxCells; n > 0 {
		e.unlisted += n
		e.cells = e.cells[:1+maxCells]
	}
}

// listCells notes where the causes show, as far as it is known, so that what is
// said of the survey as a whole finds them.
func (cs *causes) listCells(captured func(record.Address) bool) {
	cs.cells = map[record.Address]*entry{}
	for _, e := range cs.all {
		for _, a := range e.cells {
			if _, there := cs.cells[a]; !there && a.Column > 0 && captured(a) {
				cs.cells[a] = e
			}
		}
	}
}

// drop leaves the last causes out where there are too many, and says whether
// it did.
func (cs *causes) drop() bool {
	if len(cs.all) <= 2*maxCauses {
		return false
	}
	for _, e := range cs.all[maxCauses:] {
		for _, k := range e.keys {
			delete(cs.by, k)
		}
		*e = entry{merging: merging{dropped: true}}
	}
	cs.all = slices.Clone(cs.all[:maxCauses])
	cs.about = true
	return true
}

// saying is a number from what a finding says of a written value.
func saying(f *record.Finding) uint64 {
	return numberOf(f.Rule, f.At.File, f.At.Sheet, f.Field, f.Value, f.Reason)
}
