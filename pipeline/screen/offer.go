package screen

import (
	"fmt"
	"math"
	"slices"

	"spadefoot/pipeline/record"
)

// shownAccounts is the number of accounts that are listed, likeliest first.
const shownAccounts = 3

// normal is the log density of a normal distribution.
func normal(x, scale float64) float64 {
	return -x*x/(2*scale*scale) - math.Log(scale) - math.Log(2*math.Pi)/2
}

// anywhere is the log of the prior times the density of a value that is wrong by
// none of the usual slips.
func (o Odds) anywhere() float64 { return math.Log(o.Unknown / errorRange) }

// offer lists the accounts of a list that rewrite a cell, likeliest first, each
// as "TEXT verb: STORY (probability)", and suggests the first where it is as sure
// as SuggestAbove asks. The others of the list, by which nothing is rewritten,
// share the probability.
func (f *fitted) offer(out *record.Finding, list []hypothesis, kind dimension, verb string) {
	weigh(list)
	shown := 0
	for i := range list {
		h := &list[i]
		if h.change == nil {
			continue
		}
		if shown == shownAccounts || shown > 0 && h.posterior < 0.02 {
			break
		}
		start := " "
		if shown > 0 {
			start = " Also possible: "
		} else if h.posterior >= f.settings.SuggestAbove {
			out.Suggestion = h.change.text()
			if at := h.change.reading.From(); at != out.At {
				out.Also = slices.DeleteFunc(append(out.Also, out.At), func(a record.Address) bool { return a == at })
				out.At, out.Value = at, h.change.reading.Verbatim
			}
		}
		shown++
		out.Reason += fmt.Sprintf("%s%s %s: %s (probability %s).", start, h.change.text(), verb, storyOf(h.slip, kind), percent(h.posterior))
	}
	if shown > 0 && out.Suggestion == "" {
		out.Reason += " None is certain enough to suggest."
	}
}
