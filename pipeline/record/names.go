package record

import "math/bits"

// Names finds names in a list, such as the terms of the values of a capture. It is
// asked some hundred times for each capture, so that it hashes the last letters and
// the length only.
type Names struct {
	All    []string
	hashed []uint16 // one more than the place, by hash; 0 where there is none
	shift  int      // leaves so many first bits of a hash
}

// NewNames prepares for a list of fewer than 65,536 names.
func NewNames(all []string) *Names {
	size := bits.Len(uint(3 * len(all))) // leaves most places free, so that few names share one
	n := &Names{all, make([]uint16, 1<<size), 64 - size}
	for i, name := range all {
		at := n.start(name)
		for n.hashed[at] != 0 {
			at = n.after(at)
		}
		n.hashed[at] = uint16(i + 1)
	}
	return n
}

// Place returns the place of a name, the first of several; -1 where it is not in the
// list.
func (n *Names) Place(name string) int {
	for at := n.start(name); n.hashed[at] != 0; at = n.after(at) {
		if i := int(n.hashed[at]) - 1; n.All[i] == name {
			return i
		}
	}
	return -1
}

func (n *Names) after(at uint64) uint64 { return (at + 1) % uint64(len(n.hashed)) }

func (n *Names) start(name string) uint64 {
	h := uint64(len(name))
	if n := len(name); n >= 8 {
		s := name[n-8:]
		h ^= uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 | uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
	} else {
		for i := range n {
			h = h<<8 ^ uint64(name[i])
		}
	}
	return h * 0x9e3779b97f4a7c15 >> n.shift // the multiplier of Fibonacci hashing
}
