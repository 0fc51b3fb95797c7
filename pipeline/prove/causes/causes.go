// Package causes makes one finding of what the published quality tests say
// about many rows for one cause.
package causes

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/survey"
)

// Doubt is a finding with where its cause is.
type Doubt struct {
	Finding record.Finding
	From    Origin
	OwnRow  bool // in the row of the capture
}

// Mark is a doubt beside its finding, for Marked of another machine.
func (d Doubt) Mark() byte {
	mark := byte(d.From) << 1
	if d.OwnRow {
		mark |= 1
	}
	return mark
}

// Marked is the doubt that Mark was of.
func Marked(f record.Finding, mark byte) Doubt {
	return Doubt{Finding: f, From: Origin(mark >> 1), OwnRow: mark&1 == 1}
}

// Origin says where a published text comes from, nearest to the row first.
type Origin uint8

const (
	OwnCell     Origin = iota // of a cell of the row
	OtherTable                // of a table beside the sheets
	Derived                   // made from other values
	Description               // of survey.yaml, and the same for all
)

// Where says where the text of a value comes from.
func Where(v *record.Value, c *record.Capture) Origin {
	switch {
	case v == nil || v.Text == "" || v.From().File == survey.FileName:
		return Description
	case v.From().File == c.File:
		return OwnCell
	case v.From().File != "":
		return OtherTable
	}
	return Derived
}

// cause is what findings of many rows have in common.
type cause struct {
	reference, field, value, reason string
	at                              record.Address // where it is not a cell of each row
}

// What is kept of the causes of a survey. A cause names no more cells than
// maxNamedCells beside the first, and all together no more than maxCells; those
// above are counted.
const (
	maxCauses     = 20_000
	maxNamedCells = 1_000
	maxCells      = 400_000
)

// Gatherer makes one finding of those with one cause.
type Gatherer struct {
	first  map[cause]int
	found  []gathered
	cells  int // named by all
	causes int // most that are kept
	named  int // most that one names
}

// gathered is what was found of one cause. The finding names the first cells in
// Also.
type gathered struct {
	finding   record.Finding
	rows      int
	cells     int            // beside the first
	last      record.Address // of them
	elsewhere bool           // some are not in the rows of their captures, and may come again
}

// New returns a gatherer of a survey.
func New() Gatherer {
	return Gatherer{first: map[cause]int{}, causes: maxCauses, named: maxNamedCells}
}

func causeOf(f *record.Finding, from Origin) cause {
	if from == OtherTable || from == Description {
		return cause{reference: f.Reference, field: f.Field, at: f.At}
	}
	if strings.Contains(f.Reason, `"`) { // what is quoted is the cause, whatever it is held against
		return cause{reference: f.Reference, field: f.Field, reason: f.Reason}
	}
	return cause{reference: f.Reference, field: f.Field, value: f.Value, reason: f.Reason}
}

// Add takes a doubt into account.
func (g *Gatherer) Add(d Doubt) {
	f := &d.Finding
	i, again := g.first[causeOf(f, d.From)]
	if !again {
		own := clone(f)
		g.first[causeOf(&own, d.From)] = len(g.found)
		g.found = append(g.found, gathered{finding: own, rows: 1, last: own.At, elsewhere: !d.OwnRow})
		return
	}
	o := &g.found[i]
	o.rows++
	if d.From == OwnCell || d.From == Derived {
		g.addCell(o, f.At, d.OwnRow)
	} else {
		o.finding.Capture = ""
	}
}

// addCell counts a cell that was not counted before, and names it if there is
// a place for it. Where more are counted than named, a cell that is not in the row of its
// capture is taken for a new one unless it is the last again: such cells are
// above runs of rows.
func (g *Gatherer) addCell(o *gathered, at record.Address, ownRow bool) {
	o.elsewhere = o.elsewhere || !ownRow
	if at == o.finding.At || at == o.last || o.elsewhere && slices.Contains(o.finding.Also, at) {
		return
	}
	at.File, at.Sheet = o.shared(at)
	o.cells++
	o.last = at
	if len(o.finding.Also) == g.named || g.cells == maxCells || o.cells > len(o.finding.Also)+1 {
		return
	}
	o.finding.Also = append(o.finding.Also, at)
	g.cells++
}

// clone copies a finding that outlives its part.
func clone(f *record.Finding) record.Finding {
	own := *f
	for _, text := range []*string{&own.Rule, &own.Capture, &own.Field, &own.Value, &own.Reason, &own.Suggestion, &own.Reference} {
		*text = strings.Clone(*text)
	}
	own.At = f.At.Clone()
	return own
}

// shared returns the names of file and sheet of a cell, those of the first cell
// where they are the same.
func (o *gathered) shared(at record.Address) (file, sheet string) {
	if first := o.finding.At; first.File == at.File && first.Sheet == at.Sheet {
		return first.File, first.Sheet
	}
	return strings.Clone(at.File), strings.Clone(at.Sheet)
}

// Spill returns the findings of causes that are too many, and forgets them.
func (g *Gatherer) Spill() []record.Finding {
	if len(g.found) <= g.causes {
		return nil
	}
	out := findingsOf(g.found[g.causes:])
	for _, o := range g.found[g.causes:] {
		g.cells -= len(o.finding.Also)
	}
	clear(g.found[g.causes:])
	g.found = g.found[:g.causes]
	for k, i := range g.first {
		if i >= g.causes {
			delete(g.first, k)
		}
	}
	return out
}

// Findings returns what was gathered.
func (g *Gatherer) Findings() []record.Finding { return findingsOf(g.found) }

// findingsOf makes the findings of causes. Tests that fail on the same cells, as
// those of a date and of the year that is taken from it, are one finding.
func findingsOf(found []gathered) []record.Finding {
	type place struct {
		rule string
		at   record.Address
	}
	type made struct{ finding, cells int }
	var out []record.Finding
	there := map[place][]made{}
	for _, o := range found {
		f := o.finding
		at := place{f.Rule, f.At}
		if same := slices.IndexFunc(there[at], func(m made) bool {
			return m.cells == o.cells && slices.Equal(out[m.finding].Also, f.Also)
		}); f.At.Column > 0 && same >= 0 {
			first := &out[there[at][same].finding]
			first.Reference += ", " + f.Reference
			if !strings.Contains(first.Reason, f.Reason) {
				first.Reason = f.Reason + "; " + first.Reason
			}
			continue
		}
		if f.Gather(max(o.cells, len(f.Also)) + 1); !f.Gathered() && o.rows > 1 {
			f.Reason += fmt.Sprintf("; %d captures have it", o.rows)
		}
		there[at] = append(there[at], made{len(out), o.cells})
		out = append(out, f)
	}
	return out
}
