package infer

import (
	"cmp"
	"slices"

	"spadefoot/pipeline/record/sorting"
)

// most is how many animals a line of condition, or a taxon of one life stage in
// the species comparison, is learnt from at most. Up to that number all of them
// count. Of more, those with the lowest hash of their identifier are taken: the
// same ones every time, and without regard to what was measured. With 20,000
// animals the standard error of a slope is 1/√20000 ≈ 0.7 % of it where mass and
// length correlate at 0.7, and 0.3 % where they do at 0.9.
const most = 20_000

// candidate is what a choice is made of: a rank that is a hash of identity, and
// an order that tells any two apart.
type candidate[T any] interface {
	rank() uint64
	compare(T) int
}

// choice keeps no more than a number of candidates, those of the lowest rank.
// Which ones these are does not depend on the order in which they come.
type choice[T candidate[T]] struct {
	items []T
	full  bool   // some were left out
	bar   uint64 // where full: nothing above this rank is taken
}

func (ch *choice[T]) offer(item T, most int) {
	if ch.full && item.rank() > ch.bar {
		return
	}
	ch.items = append(ch.items, item)
	if len(ch.items) > 2*most {
		ch.trim(most)
	}
}

// trim leaves out what is too many.
func (ch *choice[T]) trim(most int) {
	if len(ch.items) <= most {
		return
	}
	ranks := make([]uint64, len(ch.items))
	for i := range ch.items {
		ranks[i] = ch.items[i].rank()
	}
	slices.Sort(ranks)
	ch.full, ch.bar = true, ranks[most-1]
	ch.items = slices.DeleteFunc(ch.items, func(item T) bool { return item.rank() > ch.bar })
	if len(ch.items) > most { // several have that rank
		sorting.Func(ch.items, func(a, b T) int { return cmp.Or(cmp.Compare(a.rank(), b.rank()), a.compare(b)) })
		clear(ch.items[most:])
		ch.items = ch.items[:most]
	}
}
