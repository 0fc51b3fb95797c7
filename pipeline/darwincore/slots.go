package darwincore

import (
	"math/bits"
	"slices"
	"sync"

	"spadefoot/pipeline/darwincore/terms"
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
	names  []string
	hashed [hashSize]uint16 // one more than the slot, by hash; 0 where there is none
	beside []int            // slot of the term that keeps what was written, or -1
}

// hashSize leaves most places free, so that few names share one.
const hashSize = 1 << 12

var slots = sync.OnceValue(func() *slotTable {
	t := &slotTable{}
	for _, term := range terms.All() {
		t.names = append(t.names, term.Name)
	}
	sorting.Func(t.names, compareColumns)
	t.names = slices.Compact(t.names)
	for i, name := range t.names {
		at := t.start(name)
		for t.hashed[at] != 0 {
			at = (at + 1) % hashSize
		}
		t.hashed[at] = uint16(i + 1)
	}
	for _, name := range t.names {
		t.beside = append(t.beside, t.slot(verbatimTerms[name]))
	}
	return t
})

// slot returns the number of a term, or -1. It is asked some hundred times for
// each row, so that it hashes the last letters and the length only.
func (t *slotTable) slot(name string) int {
	for at := t.start(name); t.hashed[at] != 0; at = (at + 1) % hashSize {
		if i := int(t.hashed[at]) - 1; t.names[i] == name {
			return i
		}
	}
	return -1
}

func (t *slotTable) start(name string) uint64 {
	h := uint64(len(name))
	if n := len(name); n >= 8 {
		s := name[n-8:]
		h ^= uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 | uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
	} else {
		for i := range n {
			h = h<<8 ^ uint64(name[i])
		}
	}
	return h * 0x9e3779b97f4a7c15 >> 52 // the multiplier of Fibonacci hashing
}

// must returns the slot of a term that the table is known to have.
func must(name string) int {
	i := slots().slot(name)
	if i < 0 {
		panic("no Darwin Core term " + name)
	}
	return i
}
