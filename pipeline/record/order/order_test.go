package order

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
)

// Equal elements come in the order in which package slices leaves them, so that
// which of the two sorts makes no difference to what is written.
func TestSortsAsSlicesDoes(t *testing.T) {
	type pair struct{ key, at int }
	draw := rand.New(rand.NewPCG(7, 1))
	compare := func(a, b pair) int { return cmp.Compare(a.key, b.key) }
	for range 500 {
		x := make([]pair, draw.IntN(200))
		for i := range x {
			x[i] = pair{draw.IntN(12), i}
		}
		for _, way := range []struct {
			ours, theirs func([]pair, func(a, b pair) int)
		}{
			{By[pair], slices.SortFunc[[]pair]}, {StableBy[pair], slices.SortStableFunc[[]pair]}} {
			got, want := slices.Clone(x), slices.Clone(x)
			way.ours(got, compare)
			way.theirs(want, compare)
			if !slices.Equal(got, want) {
				t.Fatalf("%v: %v, want %v", x, got, want)
			}
		}
	}
}
