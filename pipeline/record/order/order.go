// Package order sorts as package slices does, element for element, through one
// sorting function for all types. Package slices makes one of its own for each
// type of struct, which is faster and some 15 KB of program each: it stays in
// the rooms that sort for every capture (screen, store, statistics).
package order

import "sort"

// By sorts by a comparison, as slices.SortFunc does.
func By[T any](x []T, compare func(a, b T) int) { sort.Sort(sorted[T]{x, compare}) }

// StableBy keeps equal elements in their order, as slices.SortStableFunc does.
func StableBy[T any](x []T, compare func(a, b T) int) { sort.Stable(sorted[T]{x, compare}) }

type sorted[T any] struct {
	x       []T
	compare func(a, b T) int
}

func (s sorted[T]) Len() int           { return len(s.x) }
func (s sorted[T]) Less(i, j int) bool { return s.compare(s.x[i], s.x[j]) < 0 }
func (s sorted[T]) Swap(i, j int)      { s.x[i], s.x[j] = s.x[j], s.x[i] }
