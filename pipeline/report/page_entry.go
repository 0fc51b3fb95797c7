package report

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/record"
)

// mostEntries bounds the causes that the page shows, mostCells the cells that
// an entry names and mostNeighbours those it shows of a row; findings.csv has
// all.
const (
	mostEntries    = 200
	mostCells      = 12
	mostNeighbours = 12
)

// entry is one cause: the findings that come from it, the leading one first.
type entry struct {
	No       int
	Findings []record.Finding
	cells    []record.Address // where it shows, the leading finding's first
	touched  int              // captures
	rank     int

	Row    []Neighbour
	SeenIn []seen // pictures that show it
	said   said
}

// seen is a point of a picture that shows an entry.
type seen struct{ Anchor, Title string }

// entriesOf gathers findings at warning and above by cause and puts the most
// consequential first: errors before warnings; what touches more captures
// before what touches fewer; what would publish something wrong before what is only
// left out; then by address.
func entriesOf(p *Page) []*entry {
	var doubts []record.Finding
	for _, f := range p.Findings {
		if f.Level >= record.Warning {
			doubts = append(doubts, f)
		}
	}
	var out []*entry
	own := ownersOf(p.Captures)
	for _, group := range causes(doubts, own) {
		e := &entry{}
		for _, i := range group {
			e.Findings = append(e.Findings, doubts[i])
		}
		slices.SortStableFunc(e.Findings, leading)
		e.gather(own)
		e.rank = weight(knownRules()[e.Findings[0].Rule].Stage)
		out = append(out, e)
	}
	slices.SortStableFunc(out, func(a, b *entry) int {
		return cmp.Or(int(b.Findings[0].Level)-int(a.Findings[0].Level), b.touched-a.touched, a.rank-b.rank,
			a.Findings[0].At.Compare(b.Findings[0].At))
	})
	for i, e := range out {
		e.No = i + 1
		if i < mostEntries {
			e.tell(p)
		}
	}
	return out
}

// leading puts the finding that says most first: the graver one, then one that
// knows what it probably was, then one with figures.
func leading(a, b record.Finding) int {
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
// that they touch.
func (e *entry) gather(own *owners) {
	listed, touched := map[record.Address]bool{}, map[*record.Capture]bool{}
	add := func(a record.Address) {
		if !listed[a] {
			listed[a] = true
			e.cells = append(e.cells, a)
		}
		if c := own.of(a); c != nil {
			touched[c] = true
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
	e.touched = max(1, len(touched))
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
