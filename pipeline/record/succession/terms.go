package succession

import (
	"strings"

	"spadefoot/pipeline/record"
)

// Terms numbers the terms of one capture after another: all at once where captures
// share them. The zero value has none, and numbers them as they come. It is used by
// one goroutine.
type Terms struct {
	keys   Keys[string]
	by     func(term string) int
	shared map[*record.Names][]int
	own    []int // of a capture that does not share its terms
}

// maxShared bounds the lists of terms that are remembered.
const maxShared = 1 << 12

// By has the numbers that a function gives to terms, always the same ones.
func By(number func(term string) int) Terms { return Terms{by: number} }

// Of returns the numbers of the terms of a capture, by the places of their values. They
// are valid until the next.
func (t *Terms) Of(c *record.Capture) []int {
	if numbers, there := t.shared[c.Terms]; there {
		return numbers
	}
	numbers := t.own[:0]
	for i := range c.Values {
		numbers = append(numbers, t.Number(c.Values[i].Term))
	}
	t.own = numbers
	if c.Terms != nil {
		if t.shared == nil || len(t.shared) == maxShared {
			t.shared = map[*record.Names][]int{}
		}
		t.shared[c.Terms], t.own = numbers, nil
	}
	return numbers
}

// Number returns the number of a term.
func (t *Terms) Number(term string) int {
	if t.by != nil {
		return t.by(term)
	}
	n := t.keys.Find(term)
	if n < 0 {
		n = t.keys.Add(strings.Clone(term))
	}
	return n
}

// Place returns the number that a term has, -1 for none. Other goroutines may ask for it
// while nobody numbers terms.
func (t *Terms) Place(term string) int {
	if n, there := t.keys.At(term); there {
		return n
	}
	return -1
}

// All are the terms that came so far, by number.
func (t *Terms) All() []string { return t.keys.All }
