package darwincore

import (
	"encoding/binary"
	"maps"
	"slices"
)

// maxDistinct bounds the distinct texts of a kind that metadata name: places,
// names of taxa, ways of sampling. No reader would go through as many.
const maxDistinct = 1 << 15

// distinct keeps distinct texts, and of more than maxDistinct those that come
// first in the order of their bytes. What is kept does not depend on the order
// in which they come.
type distinct struct {
	known map[string]struct{}
	bound string // texts above it are not among the first; "" for none
}

// add adds a text, which is copied.
func (d *distinct) add(text []byte) {
	if _, ok := d.known[string(text)]; !ok {
		d.insert(string(text))
	}
}

func (d *distinct) insert(text string) {
	if d.bound != "" && text > d.bound {
		return
	}
	if d.known == nil {
		d.known = map[string]struct{}{}
	}
	if d.known[text] = struct{}{}; len(d.known) < 2*maxDistinct {
		return
	}
	kept := d.sorted()
	clear(d.known)
	for _, s := range kept {
		d.known[s] = struct{}{}
	}
	d.bound = kept[len(kept)-1]
}

func (d *distinct) join(o *distinct) {
	for text := range o.known {
		d.insert(text)
	}
}

// sorted returns the texts in order.
func (d *distinct) sorted() []string {
	out := slices.Sorted(maps.Keys(d.known))
	return out[:min(len(out), maxDistinct)]
}

// appendPart appends one of several texts to a key, from which parts takes
// them apart again.
func appendPart(key []byte, text string) []byte {
	return append(binary.AppendUvarint(key, uint64(len(text))), text...)
}

func parts(key string) []string {
	var out []string
	for b := []byte(key); len(b) > 0; {
		n, size := binary.Uvarint(b)
		out = append(out, string(b[size:size+int(n)]))
		b = b[size+int(n):]
	}
	return out
}
