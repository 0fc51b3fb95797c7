package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// rowExchange is a pair of neighbouring rows of which each has the lengths of the
// other in some columns.
type rowExchange struct {
	rows    [2]int // of the grid
	columns []int
	odds    float64 // log posterior odds
}

// exchanges looks for neighbouring rows of a table whose lengths, in one column or in
// most, stand in each other's place: that must explain both better than their own
// accounts do, and better than an exchange with rows that nothing is exchanged with. A
// mass may come from two cells. Reported are those that begin in a row of the part.
func (j *search) exchanges(table span, g *shiftGrid) {
	for k := range len(g.sights) - 1 {
		if a, b := g.sights[k], g.sights[k+1]; a == nil || b == nil || !a.suspect && !b.suspect {
			continue
		}
		x := g.exchange(k, k+1)
		if x.odds <= surely || x.odds-g.exchangedByChance(k) <= surely {
			continue
		}
		if f := j.exchangeBack(g, x); j.own.holds(g.from + k) {
			j.findings = append(j.findings, f)
		}
		for _, i := range x.rows {
			j.see(g.from + i)
		}
		g = j.shiftGrid(table)
	}
}

// exchange returns the likeliest exchange of two rows: it starts from each column by
// itself, each pair, all and all but one, and adds and takes away columns while that makes it
// likelier. Where one of the animals gains nothing, that counts against it.
func (g *shiftGrid) exchange(a, b int) rowExchange {
	n := len(g.names)
	best := rowExchange{rows: [2]int{a, b}, odds: math.Inf(-1)}
	to, from := make([]float64, n), make([]float64, n)
	s, t := g.shifts(a, b-a, to), g.shifts(b, a-b, from)
	if s == nil || t == nil {
		return best
	}
	var both []int
	for c := range g.lengths {
		if !math.IsNaN(to[c]) && !math.IsNaN(from[c]) && to[c] != 0 {
			both = append(both, c)
		}
	}
	weigh := func(columns []int) (x rowExchange) {
		first, _ := g.changed(a, s, to, columns)
		second, _ := g.changed(b, t, from, columns)
		x = rowExchange{best.rows, columns, g.prior + s.gain(first) + t.gain(second)}
		if s.gain(first) <= 0 || t.gain(second) <= 0 {
			x.odds += minGain
		}
		return x
	}
	starts := [][]int{both}
	for i, c := range both {
		starts = append(starts, []int{c})
		for _, o := range both[:i] {
			starts = append(starts, []int{c, o})
		}
		starts = append(starts, slices.Delete(slices.Clone(both), i, i+1))
	}
	for _, columns := range starts {
		if x := weigh(columns); len(columns) > 0 && x.odds > best.odds {
			best = x
		}
	}
	for range both {
		better := best
		for _, c := range both {
			if x := weigh(toggled(best.columns, c)); len(x.columns) > 0 && x.odds > better.odds+1 {
				better = x
			}
		}
		if better.odds <= best.odds {
			break
		}
		best = better
	}
	return best
}

// exchangedByChance is the most that a row and the next reach by an exchange with
// rows that lie farther off.
func (g *shiftGrid) exchangedByChance(k int) float64 {
	most := 0.0
	for _, by := range unshifted {
		for _, i := range [...]int{k, k + 1} {
			if o := i + by; o >= 0 && o < len(g.sights) && o != k && o != k+1 {
				most = max(most, g.exchange(i, o).odds)
			}
		}
	}
	return most
}

// exchangeBack writes the values of an exchange back into the rows, and one
// finding on it.
func (j *search) exchangeBack(g *shiftGrid, x rowExchange) record.Finding {
	a, b := g.from+x.rows[0], g.from+x.rows[1]
	first, second := j.rows[a].capture, j.rows[b].capture
	out := record.Finding{Rule: "rows-exchanged", Level: record.Warning, Spread: record.Together, Capture: first.Key,
		Group: fmt.Sprintf("rows %d and %d of the table, n = 2", first.Row, second.Row)}
	var names []string
	for _, c := range x.columns {
		p, q := j.ownCell(a, g.names[c]), j.ownCell(b, g.names[c])
		names = append(names, label(g.names[c]))
		out.Rewrites = append(out.Rewrites, record.Rewrite{At: p.first().From(), Text: swapText(p.first(), q.first())}, record.Rewrite{At: q.first().From(), Text: swapText(q.first(), p.first())})
		out.Also = append(out.Also, p.first().From(), q.first().From())
		was := *p
		p.become(q.value, q)
		q.become(was.value, &was)
		j.markExplained(p)
		j.markExplained(q)
	}
	sorting.Func(out.Also, record.Address.Compare)
	sorting.Func(out.Rewrites, func(a, b record.Rewrite) int { return a.At.Compare(b.At) })
	slices.Sort(names)
	out.At, out.Also = out.Also[0], out.Also[1:]
	for _, c := range x.columns {
		if r := j.rows[a].find(g.names[c]).first(); r.From() == out.At {
			out.Field, out.Value, out.Suggestion = g.names[c], r.Verbatim, out.Rewrites[0].Text
		}
	}
	posterior := 1 / (1 + math.Exp(-x.odds))
	out.Figures = []record.Figure{{Name: "n", Value: 2}, {Name: "cells", Value: float64(2 * len(x.columns))},
		{Name: "statistic", Value: x.odds}, {Name: "threshold", Value: surely}, {Name: "posterior", Value: posterior}}
	out.Reason = fmt.Sprintf("the values of %s in rows %d and %d each fit the other row's animal: they seem to have been swapped (log odds %.3g, limit %d, probability %s).",
		strings.Join(names, " and "), first.Row, second.Row, x.odds, surely, percent(posterior))
	return out
}
