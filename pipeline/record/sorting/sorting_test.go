package sorting

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
)

// Package slices is what the order is held against, ties included: outputs must
// not hang on which of the two sorted.
func TestAsSlices(t *testing.T) {
	type pair struct{ key, place int }
	random := rand.New(rand.NewPCG(1, 2))
	byKey := func(a, b pair) int { return cmp.Compare(a.key, b.key) }
	for n := range 300 {
		all := make([]pair, n)
		for i := range all {
			all[i] = pair{random.IntN(1 + n/3), i}
		}
		for name, sort := range map[string][2]func([]pair){
			"sort":   {func(x []pair) { slices.SortFunc(x, byKey) }, func(x []pair) { Func(x, byKey) }},
			"stable": {func(x []pair) { slices.SortStableFunc(x, byKey) }, func(x []pair) { StableFunc(x, byKey) }},
		} {
			want, got := slices.Clone(all), slices.Clone(all)
			sort[0](want)
			sort[1](got)
			if !slices.Equal(got, want) {
				t.Fatalf("%s of %v: %v, want %v", name, all, got, want)
			}
		}
		if got, want := SortedFunc(slices.Values(all), byKey), slices.SortedFunc(slices.Values(all), byKey); !slices.Equal(got, want) {
			t.Fatalf("sorted %v: %v, want %v", all, got, want)
		}
	}
}
