package report

import (
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

// before is the earlier capture of a marked animal that an entry compares with.
type before struct {
	Where string // its row
	Mark  string // as written there; "" where it stands in no cell of the row
	Row   []Neighbour
}

// askBefore asks for the earlier captures of the entries that the page shows.
// They are in any part, so that they are asked for at the end.
func (g *Gatherer) askBefore() {
	if g.asked.Rows == nil {
		return
	}
	es := g.entries()
	for _, e := range es[:min(len(es), maxEntries)] {
		e.Before = g.beforeThat(e)
	}
}

// beforeThat returns the earlier capture of an entry, nil for none.
func (g *Gatherer) beforeThat(e *entry) *before {
	for _, f := range e.Findings {
		at, ok := beforeOf(f)
		if !ok {
			continue
		}
		row := slices.Clone(g.asked.Rows(record.Finding{At: at, Also: e.cells}))
		if row == nil {
			continue
		}
		at.Column = 0
		g.doubtAlike(row, e)
		b := &before{Where: at.String(), Row: clonedRow(around(row))}
		for _, n := range row {
			if n.Mark {
				b.Mark = strings.TrimSpace(b.Mark + " " + n.Text)
			}
		}
		return b
	}
	return nil
}

// doubtAlike marks the cells of an earlier row under the headings that are in
// doubt in the row of the entry, where no cell of it is named by a finding.
func (g *Gatherer) doubtAlike(row []Neighbour, e *entry) {
	if slices.ContainsFunc(row, func(n Neighbour) bool { return n.Doubtful }) {
		return
	}
	later := e.Row
	if !g.large {
		later = g.rows[e.Findings[0]]
	}
	for _, n := range later {
		for i := range row {
			row[i].Doubtful = row[i].Doubtful || n.Doubtful && row[i].Heading == n.Heading
		}
	}
}

// beforeOf returns the earlier one of the two captures that a finding holds
// against each other: the first of its other cells that is in another row.
func beforeOf(f *record.Finding) (record.Address, bool) {
	if !strings.HasPrefix(f.Rule, "recapture-") && f.Rule != "mark-reused" {
		return record.Address{}, false
	}
	for _, a := range f.Also {
		if a.Row > 0 && (a.Row != f.At.Row || a.Sheet != f.At.Sheet || a.File != f.At.File) {
			return a, true
		}
	}
	return record.Address{}, false
}
