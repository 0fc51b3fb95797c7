package report

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
	"spadefoot/pipeline/report/plot"
	"spadefoot/schemas"
)

// maxEntries bounds the causes that the page shows, maxCells the cells that
// an entry names and maxNeighbours those it shows of a row; findings.csv has
// all.
const (
	maxEntries    = 200
	maxCells      = 12
	maxNeighbours = 12
)

// entry is one cause: the findings that come from it, the leading one first.
type entry struct {
	No       int
	Findings []*record.Finding
	More     int              // findings that are not among them
	cells    []record.Address // where it shows, the leading finding's first
	unlisted int              // cells that are not among them
	touched  int              // captures
	rank     int

	Row    []Neighbour
	Before *before // where captures of one animal are doubted
	SeenIn []seen  // pictures that show it
	said   ReasonParts

	merging // only in a large survey
}

// seen is a point of a picture that shows an entry.
type seen struct{ Anchor, Title string }

// number is that of the entry as marks have it.
func (e *entry) number() int {
	e = e.now()
	if e.dropped || e.No > maxEntries || e.No == 0 {
		return plot.Unshown
	}
	return e.No
}

// entries gathers findings at warning and above by cause and puts the most
// consequential first: errors before warnings; what touches more captures
// before what touches fewer; what would publish something wrong before what is only
// left out; then by address.
func (g *Gatherer) entries() []*entry {
	if g.large {
		return g.causes.all
	}
	if g.ranked == nil {
		doubts := slices.Clone(g.doubts)
		sorting.StableFunc(doubts, record.CompareFindings)
		g.own = ownersOf(g.kept, doubts, g)
		g.ranked = entriesOf(doubts, g.own)
		sortEntries(g.ranked)
	}
	return g.ranked
}

// entriesOf gathers doubts by cause.
func entriesOf(doubts []*record.Finding, own *owners) []*entry {
	var out []*entry
	for _, group := range causesOf(doubts, own) {
		e := &entry{}
		for _, i := range group {
			e.Findings = append(e.Findings, doubts[i])
		}
		sorting.StableFunc(e.Findings, leading)
		e.gather(own)
		e.rank = weight(schemas.RuleOf()[e.Findings[0].Rule].Stage)
		out = append(out, e)
	}
	return out
}

// sortEntries puts the most consequential first and numbers them.
func sortEntries(es []*entry) {
	sorting.StableFunc(es, func(a, b *entry) int {
		return cmp.Or(int(b.Findings[0].Level)-int(a.Findings[0].Level), b.touched-a.touched, a.rank-b.rank,
			a.Findings[0].At.Compare(b.Findings[0].At))
	})
	for i, e := range es {
		e.No = i + 1
	}
}

// leading puts the finding that says most first: the graver one, then one that
// knows what it probably was, then one with figures.
func leading(a, b *record.Finding) int {
	return cmp.Or(int(b.Level)-int(a.Level), truth(b.Suggestion != "")-truth(a.Suggestion != ""),
		truth(len(b.Figures) > 0)-truth(len(a.Figures) > 0))
}

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}

// gather lists the cells of the findings, each once, and counts the captures
// that they touch; in a large survey a capture that is not at hand counts by
// its row.
func (e *entry) gather(own *owners) {
	listed, touched, rows := map[record.Address]bool{}, map[*sketch]bool{}, map[rowOf]bool{}
	add := func(a record.Address) {
		if !listed[a] {
			listed[a] = true
			e.cells = append(e.cells, a)
		}
		if s := own.of(a); s != nil {
			touched[s] = true
		} else if at := own.all.rowAt(a); own.all.large && at.row > 0 && at.sheet.n > 0 {
			rows[at] = true
		}
	}
	for _, f := range e.Findings {
		add(f.At)
	}
	for _, f := range e.Findings {
		for _, a := range f.Also {
			add(a)
		}
	}
	e.touched = max(1, len(touched)+len(rows))
	for _, f := range e.Findings {
		for _, r := range f.Runs {
			e.touched += r.Last - r.Row + 1
		}
		if len(f.Runs) > 0 {
			e.touched-- // the first was counted as a cell
		}
	}
}

// weight orders stages by what a doubt of theirs does to the published data:
// identity of captures and meaning of columns, wrong numbers, masses, wrong
// names and places, what is only left out.
func weight(stage string) int {
	switch stage {
	case "map", "prove", "darwincore":
		return 0
	case "screen":
		return 1
	case "weigh":
		return 2
	case "taxon", "place", "calendar", "infer":
		return 3
	case "quantity", "vocabulary", "normalise":
		return 4
	}
	return 5
}
