// Package sorting sorts as package slices does, with code that is compiled once
// and not for each type: a tenth of the size in the program, and two to three
// times the time. Anything sorted for every capture uses slices.
package sorting

import (
	"iter"
	"slices"
	"sort"
)

// Func sorts by compare, as slices.SortFunc does.
func Func[T any](x []T, compare func(a, b T) int) {
	sort.Slice(x, func(i, j int) bool { return compare(x[i], x[j]) < 0 })
}

// StableFunc sorts by compare and leaves equal ones in their order, as
// slices.SortStableFunc does.
func StableFunc[T any](x []T, compare func(a, b T) int) {
	sort.SliceStable(x, func(i, j int) bool { return compare(x[i], x[j]) < 0 })
}

// SortedFunc collects what a sequence yields, sorted by compare, as
// slices.SortedFunc does.
func SortedFunc[T any](seq iter.Seq[T], compare func(a, b T) int) []T {
	x := slices.Collect(seq)
	Func(x, compare)
	return x
}
