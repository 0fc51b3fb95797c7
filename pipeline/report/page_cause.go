package report

import (
	"slices"

	"spadefoot/pipeline/record"
)

// follows names rules whose finding is the consequence of another's in the
// same capture.
var follows = map[string]string{"tare-missing": "bag-unknown"}

// causesOf parts findings into groups of one cause, each by index and in order.
// Findings have one cause if they are about the same cell of a capture, if one
// follows from the other, or if they say the same of the same written value.
func causesOf(fs []*record.Finding, own *owners) [][]int {
	set := newSets(len(fs))
	type spot struct {
		capture *sketch
		at      record.Address
	}
	type saying struct{ rule, file, sheet, field, value, reason string }
	type follower struct {
		capture *sketch
		rule    string
	}
	cells, sayings, rules := map[spot]int{}, map[saying]int{}, map[follower]int{}
	for i, f := range fs {
		for a := range cellsIn(f) {
			c := own.of(a)
			if a.Column == 0 || c == nil && a != f.At {
				continue // a shared cell, such as a bag's mass, joins nothing
			}
			joinBy(set, cells, spot{c, a}, i)
		}
		joinBy(set, sayings, saying{f.Rule, f.At.File, f.At.Sheet, f.Field, f.Value, f.Reason}, i)
		if c := own.named(f.Capture); c != nil {
			if _, there := rules[follower{c, f.Rule}]; !there {
				rules[follower{c, f.Rule}] = i
			}
		}
	}
	for i, f := range fs {
		if first, ok := follows[f.Rule]; ok {
			if j, there := rules[follower{own.named(f.Capture), first}]; there {
				set.union(i, j)
			}
		}
	}
	return set.groups()
}

// sets is a union of disjoint sets of indices.
type sets struct{ parent []int }

func newSets(n int) *sets {
	s := &sets{make([]int, n)}
	for i := range s.parent {
		s.parent[i] = i
	}
	return s
}

func (s *sets) find(i int) int {
	for s.parent[i] != i {
		s.parent[i] = s.parent[s.parent[i]]
		i = s.parent[i]
	}
	return i
}

func (s *sets) union(i, j int) {
	a, b := s.find(i), s.find(j)
	s.parent[max(a, b)] = min(a, b)
}

// joinBy joins i with the first index that came with the same key.
func joinBy[K comparable](s *sets, first map[K]int, key K, i int) {
	if j, there := first[key]; there {
		s.union(i, j)
		return
	}
	first[key] = i
}

func (s *sets) groups() [][]int {
	at := map[int]int{}
	var out [][]int
	for i := range s.parent {
		root := s.find(i)
		if _, there := at[root]; !there {
			at[root] = len(out)
			out = append(out, nil)
		}
		out[at[root]] = append(out[at[root]], i)
	}
	for _, g := range out {
		slices.Sort(g)
	}
	return out
}
