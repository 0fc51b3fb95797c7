package screen

import (
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

const (
	minInRun = 5 // findings on a column that may have one cause
	maxApart = 3 // rows with a value in that column from one of them to the next
)

// ofCells are the rules whose findings on one column may have one cause.
var ofCells = map[string]bool{"value-far": true, "value-off-line": true, "shape-unusual": true}

// joinRuns takes out the findings on the cells of one column that stand close below
// each other, and keeps them as pieces: what is wrong in so many rows has one cause.
// Beyond are findings on the rows beside the part.
func (p *part) joinRuns(findings, beyond []record.Finding) []record.Finding {
	type column struct {
		file, sheet string
		number      int
	}
	own := len(findings)
	all := slices.Concat(findings, beyond)
	at := map[column][]int{} // indices of findings
	for i := range all {
		if f := &all[i]; ofCells[f.Rule] && f.Level >= record.Warning {
			k := column{f.At.File, f.At.Sheet, f.At.Column}
			at[k] = append(at[k], i)
		}
	}
	gone := map[int]bool{}
	for _, list := range at {
		if len(list) < minInRun {
			continue
		}
		for _, run := range runsOf(all, list, p.rowsWith(&all[list[0]])) {
			opens, closes := run[0] >= own, run[len(run)-1] >= own
			run = slices.DeleteFunc(slices.Clone(run), func(i int) bool { return i >= own })
			if len(run) == 0 {
				continue
			}
			p.many.pieces = append(p.many.pieces, p.pieceOf(all, run, opens, closes))
			for _, i := range run {
				gone[i] = true
			}
		}
	}
	if len(gone) == 0 {
		return findings
	}
	kept := findings[:0]
	for i, f := range findings {
		if !gone[i] {
			kept = append(kept, f)
		}
	}
	return kept
}

// rowsWith gives, by row of the sheet, the number of the rows up to it that
// have a value in the column of a finding.
func (p *part) rowsWith(f *record.Finding) map[int]int {
	place, n := map[int]int{}, 0
	for _, r := range p.all() {
		if c := r.capture; c.File == f.At.File && c.Sheet == f.At.Sheet {
			if r.find(f.Field) != nil {
				n++
			}
			place[c.Row] = n
		}
	}
	return place
}

// runsOf cuts findings on a column into those that stand close together.
func runsOf(findings []record.Finding, list []int, place map[int]int) (runs [][]int) {
	sorting.Func(list, func(a, b int) int { return findings[a].At.Row - findings[b].At.Row })
	from := 0
	for i := 1; i <= len(list); i++ {
		if i < len(list) && place[findings[list[i]].At.Row]-place[findings[list[i-1]].At.Row] <= maxApart {
			continue
		}
		if i-from >= minInRun {
			runs = append(runs, list[from:i])
		}
		from = i
	}
	return runs
}

// pieceOf makes a piece of a run.
func (p *part) pieceOf(findings []record.Finding, run []int, opens, closes bool) causePiece {
	f := findings[run[0]]
	out := causePiece{Kind: ofRun, Names: []string{strings.Clone(f.Field)}, Rows: len(run), Cells: len(run), Top: f.At.Row, Bottom: findings[run[len(run)-1]].At.Row,
		Opens: opens, Closes: closes, Finding: lasting(f), Same: p.sameAs(findings, run)}
	for _, i := range run {
		out.Places = append(out.Places, findings[i].At)
	}
	out.keep()
	return out
}

// lasting is a finding that holds no part of what it was made from.
func lasting(f record.Finding) record.Finding {
	f.At = f.At.Clone()
	f.Capture, f.Field, f.Value, f.Group, f.Reason = strings.Clone(f.Capture), strings.Clone(f.Field), strings.Clone(f.Value), strings.Clone(f.Group), strings.Clone(f.Reason)
	f.Also, f.Rewrites, f.Suggestion, f.Reference = nil, nil, "", strings.Clone(f.Reference)
	return f
}

// reportRun makes one finding of a run.
func (p *causePiece) reportRun() record.Finding {
	f := p.Finding
	f.At, f.Also, f.Runs, f.Spread = p.Places[0], p.Places[1:], p.Further, record.Together
	f.Level = record.Warning // many animals in a row are rather of another kind than slips
	reason := fmt.Sprintf("%d cells of %s from row %d to row %d are unlike the rest of their animals: one cause.", p.Cells, label(f.Field), p.Top, p.Bottom)
	other := ""
	for name, n := range p.Same {
		if 10*n >= 9*p.Cells && (other == "" || name < other) {
			other = name
		}
	}
	if other != "" {
		f.Level = record.Error
		reason += fmt.Sprintf(" Nearly all of them repeat the number under %s, as if one column had been copied into the other.", label(other))
	}
	f.Reason = reason + " The first: " + f.Reason
	return f
}

// sameAs counts in how many cells of a run the number of another measurement stands.
func (p *part) sameAs(findings []record.Finding, run []int) map[string]int {
	of := map[int]*row{}
	for _, r := range p.rows {
		if c := r.capture; c.File == findings[run[0]].At.File && c.Sheet == findings[run[0]].At.Sheet {
			of[c.Row] = r
		}
	}
	counts := map[string]int{}
	for _, i := range run {
		r := of[findings[i].At.Row]
		if r == nil {
			continue
		}
		for k := range r.cells {
			if o := &r.cells[k]; o.measurement != findings[i].Field && strings.TrimSpace(o.first().Verbatim) == strings.TrimSpace(findings[i].Value) {
				counts[strings.Clone(o.measurement)]++
			}
		}
	}
	return counts
}
