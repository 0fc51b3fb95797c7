package normalise

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// ofWords are the rules on words that a column should not have. A column with
// many of them has one cause: its codes were explained nowhere.
var ofWords = map[string]bool{"word-unknown": true, "taxon-unread": true, "taxon-unmatched": true}

// Words of a column that one finding tells with their numbers, and that it
// names.
const (
	maxTold   = 6
	maxListed = 100
)

// joinWords makes one finding of those that say the same of other words of one
// field, the first in the order of cells. A word for which something is
// suggested has a finding of its own.
func (g *gathered) joinWords() {
	alike := map[cause][]int{}
	for i := range g.out {
		if f := &g.out[i]; ofWords[f.Rule] && f.Suggestion == "" && f.Value != "" {
			k := cause{rule: f.Rule, field: f.Field, reason: withoutWord(f.Reason)}
			alike[k] = append(alike[k], i)
		}
	}
	joined := make([]bool, len(g.out))
	for _, list := range alike {
		if len(list) > 1 {
			g.join(list)
			for _, i := range list[1:] {
				joined[i] = true
			}
		}
	}
	out, cells, rows := g.out[:0], g.cells[:0], g.rows[:0]
	for i := range joined {
		if !joined[i] {
			out, cells, rows = append(out, g.out[i]), append(cells, g.cells[i]), append(rows, g.rows[i])
		}
	}
	g.out, g.cells, g.rows = out, cells, rows
}

// withoutWord takes the word that a reason is about, which it names first, out of it: as
// written, or as the name that was read.
func withoutWord(reason string) string {
	before, rest, _ := strings.Cut(reason, `"`)
	_, behind, _ := strings.Cut(rest, `"`)
	return before + behind
}

func quoted(text string) string { return fmt.Sprintf("%q", strings.TrimSpace(text)) }

// join makes the first of some findings that of all. Its value lists the words,
// so that it is another finding where another word comes.
func (g *gathered) join(list []int) {
	first := &g.out[list[0]]
	own, at := g.cells[list[0]], first.At
	var words, told []string
	for _, i := range list {
		words = append(words, strings.TrimSpace(g.out[i].Value))
	}
	byCells := slices.Clone(list[1:])
	sorting.StableFunc(byCells, func(a, b int) int { return cmp.Compare(g.cells[b], g.cells[a]) })
	for n, i := range byCells {
		if n < maxTold {
			told = append(told, fmt.Sprintf("%s (%d)", quoted(g.out[i].Value), g.cells[i]))
		}
	}
	first.Reason += fmt.Sprintf(" (%d); the same applies to %s", own, strings.Join(told, ", "))
	if n := len(byCells) - maxTold; n > 0 {
		first.Reason += fmt.Sprintf(" and %d other words", n)
	}
	for _, i := range list[1:] {
		first.Also = append(append(first.Also, g.out[i].At), g.out[i].Also...)
		g.cells[list[0]] += g.cells[i]
		g.rows[list[0]] += g.rows[i]
	}
	sorting.Func(first.Also, record.Address.Compare)
	first.Also = slices.DeleteFunc(slices.Compact(first.Also), func(a record.Address) bool { return a == at })
	slices.Sort(words)
	first.Value = strings.Join(words[:min(len(words), maxListed)], " | ")
}
