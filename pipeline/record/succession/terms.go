package succession

import (
	"strings"
	"unsafe"

	"spadefoot/pipeline/record"
)

// Terms numbers the terms of one capture after another: all at once where captures
// share them. The zero value has none, and numbers them as they come. It is used by
// one goroutine.
type Terms struct {
	keys   Keys[string]
	by     func(term string) int
	shared []numbered // by where the lists are
	own    numbered   // of a capture that does not share its terms
}

// numbered is a list of terms with their numbers.
type numbered struct {
	terms   *record.Names
	numbers []int
}

// By has the numbers that a function gives to terms, always the same ones.
func By(number func(term string) int) Terms { return Terms{by: number} }

// Of returns the numbers of the terms of a capture, by the places of their values. They
// are valid until the next.
func (t *Terms) Of(c *record.Capture) []int {
	n := &t.own
	if c.Terms != nil {
		if t.shared == nil {
			t.shared = make([]numbered, 1<<8)
		}
		if n = &t.shared[uintptr(unsafe.Pointer(c.Terms))/unsafe.Sizeof(*c.Terms)%uintptr(len(t.shared))]; n.terms == c.Terms {
			return n.numbers
		}
	}
	n.terms, n.numbers = c.Terms, n.numbers[:0]
	for i := range c.Values {
		n.numbers = append(n.numbers, t.Number(c.Values[i].Term))
	}
	return n.numbers
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
