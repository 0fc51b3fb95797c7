package darwincore

import (
	"math/bits"
	"slices"
	"sync"

	"spadefoot/pipeline/darwincore/terms"
	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/sorting"
)

// marks is a set of small numbers: of columns, by their place in the order in
// which they are published.
type marks [9]uint64

func (m *marks) add(i int)      { m[i>>6] |= 1 << (i & 63) }
func (m *marks) has(i int) bool { return m[i>>6]>>(i&63)&1 == 1 }

func (m *marks) join(o *marks) {
	for i := range m {
		m[i] |= o[i]
	}
}

// meet keeps what o has too.
func (m *marks) meet(o *marks) {
	for i := range m {
		m[i] &= o[i]
	}
}

// less takes away what o has.
func (m *marks) less(o *marks) {
	for i := range m {
		m[i] &^= o[i]
	}
}

// within reports whether o has all that m has.
func (m *marks) within(o *marks) bool {
	for i := range m {
		if m[i]&^o[i] != 0 {
			return false
		}
	}
	return true
}

// numbers lists what is in the set, in order.
func (m *marks) numbers() []int {
	var out []int
	for w, word := range m {
		for ; word != 0; word &= word - 1 {
			out = append(out, w<<6+bits.TrailingZeros64(word))
		}
	}
	return out
}

// slotTable numbers every term by bare name, in the order of the columns. It
// is the same for all makers.
type slotTable struct {
	*record.Names
	beside []int // slot of the term that keeps what was written, or -1
}

var slots = sync.OnceValue(func() *slotTable {
	var names []string
	for _, term := range terms.All() {
		names = append(names, term.Name)
	}
	sorting.Func(names, compareColumns)
	t := &slotTable{Names: record.NewNames(slices.Compact(names))}
	for _, name := range t.All {
		t.beside = append(t.beside, t.Place(verbatimTerms[name]))
	}
	return t
})

// must returns the slot of a term that the table is known to have.
func must(name string) int {
	i := slots().Place(name)
	if i < 0 {
		panic("no Darwin Core term " + name)
	}
	return i
}
