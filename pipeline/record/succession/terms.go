package succession

import (
	"strings"

	"spadefoot/pipeline/record"
)

// Terms numbers the terms of one capture after another: all at once where captures
// share them. The zero value has none. It is used by one goroutine.
type Terms struct {
	keys   Keys[string]
	shared map[*record.Names][]int
	own    []int // of a capture that does not share its terms
}

// maxShared bounds the lists of terms that are remembered.
const maxShared = 1 << 12

// Of returns the numbers of the terms of a capture, by the places of their values. They
// are valid until the next.
func (t *Terms) Of(c *record.Capture) []int {
	if numbers, there := t.shared[c.Terms]; there {
		return numbers
	}
	numbers := t.own[:0]
	for i := range c.Values {
		term := c.Values[i].Term
		n := t.keys.Find(term)
		if n < 0 {
			n = t.keys.Add(strings.Clone(term))
		}
		numbers = append(numbers, n)
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

// All are the terms that came so far, by number.
func (t *Terms) All() []string { return t.keys.All }
