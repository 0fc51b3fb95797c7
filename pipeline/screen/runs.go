package screen

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

const (
	leastInRun = 5 // findings on a column that may have one cause
	maxApart   = 3 // rows with a value in that column from one of them to the next
)

// ofCells are the rules whose findings on one column may have one cause.
var ofCells = map[string]bool{"value-far": true, "value-off-line": true, "shape-unusual": true}

// joinRuns makes one finding of those on the cells of one column that stand
// close below each other: what is wrong in so many rows has one cause.
func (p *part) joinRuns(findings []record.Finding) []record.Finding {
	type column struct {
		file, sheet string
		number      int
	}
	at := map[column][]int{} // indices of findings, by row as findings are in order
	for i := range findings {
		if f := &findings[i]; ofCells[f.Rule] && f.Level >= record.Warning {
			k := column{f.At.File, f.At.Sheet, f.At.Column}
			at[k] = append(at[k], i)
		}
	}
	gone := map[int]bool{}
	for _, list := range at {
		if len(list) < leastInRun {
			continue
		}
		rows := p.rowsWith(&findings[list[0]])
		for _, run := range runsOf(findings, list, rows) {
			findings[run[0]] = p.join(findings, run)
			for _, i := range run[1:] {
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
	for _, r := range p.rows {
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
		if i-from >= leastInRun {
			runs = append(runs, list[from:i])
		}
		from = i
	}
	return runs
}

// join makes one finding of a run.
func (p *part) join(findings []record.Finding, run []int) record.Finding {
	f := findings[run[0]]
	last := findings[run[len(run)-1]].At.Row
	f.Suggestion = ""
	f.Also, f.Mends, f.Spread = nil, nil, record.Together
	f.Level = record.Warning // many animals in a row are rather of another kind than slips
	for _, i := range run[1:] {
		f.Also = append(f.Also, findings[i].At)
	}
	said := fmt.Sprintf("%d cells of %s from row %d to row %d are unlike the rest of their animals: one cause.", len(run), label(f.Field), f.At.Row, last)
	if other := p.sameAs(findings, run); other != "" {
		f.Level = record.Error
		said += fmt.Sprintf(" The number of %s stands in nearly all of them, as if one column had been copied into the other.", label(other))
	}
	f.Reason = said + " The first: " + f.Reason
	return f
}

// sameAs returns the measurement whose number stands in nearly all cells of a
// run, "" if there is none.
func (p *part) sameAs(findings []record.Finding, run []int) string {
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
				counts[o.measurement]++
			}
		}
	}
	best := ""
	for name, n := range counts {
		if 10*n >= 9*len(run) && (best == "" || name < best) {
			best = name
		}
	}
	return best
}
