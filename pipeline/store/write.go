package store

import (
	"encoding/binary"
	"hash/maphash"
	"math"
	"strings"
	"sync"
)

const (
	maxWords     = 1 << 16 // in a table
	maxOfOneKind = 512     // words of one kind
	maxUnknown   = 4096    // texts of a kind that were none of its words, until it is taken for one without
	longestWord  = 256     // bytes
)

// words are texts that are written once and then called by their number, and forms of
// values and readings. One goroutine adds to them; others may read what there is.
type words struct {
	mu    sync.Mutex // of list and forms
	list  []string
	forms forms
	index map[string]uint32
	kinds map[string]*kind
	above []near        // words of the capture or finding before, by their place in it
	near  [1 << 11]near // words that were asked for last, by hash
	seed  maphash.Seed
}

// kind counts the words of one kind, such as the values of one term.
type kind struct{ words, unknown int }

// near is a word at hand: most texts are those of the row above.
type near struct {
	text   string
	number uint32
}

// known are the words and forms that there are.
type known struct {
	words []string
	forms []*form
}

// known returns those that there are by now.
func (w *words) known() known {
	w.mu.Lock()
	defer w.mu.Unlock()
	return known{w.list, w.forms.all}
}

func newWords() *words {
	return &words{index: map[string]uint32{}, kinds: map[string]*kind{}, seed: maphash.MakeSeed(), forms: forms{at: map[said]int{}, above: make([]above, 1)}}
}

// number returns the number of a word of a kind, from 1; 0 where it is not in
// the table and the table or the kind is full. A kind whose values
// hardly repeat is therefore written out.
func (w *words) number(of, s string) uint32 {
	if len(s) > longestWord {
		return 0
	}
	at := &w.near[maphash.String(w.seed, s)%uint64(len(w.near))]
	if at.text == s {
		return at.number
	}
	k := w.kinds[of]
	if k == nil {
		k = &kind{}
		w.kinds[strings.Clone(of)] = k
	}
	if k.unknown > maxUnknown {
		return 0
	}
	n, ok := w.index[s]
	if !ok {
		if n = w.add(k, s); n == 0 {
			k.unknown++
			return 0
		}
	}
	*at = near{w.list[n-1], n}
	return n
}

// add puts a word into the table, unless it is full.
func (w *words) add(k *kind, s string) uint32 {
	if len(w.list) >= maxWords || k.words >= maxOfOneKind {
		return 0
	}
	k.words++
	s = strings.Clone(s) // not a part of a larger text
	w.mu.Lock()
	w.list = append(w.list, s)
	w.mu.Unlock()
	w.index[s] = uint32(len(w.list))
	return uint32(len(w.list))
}

// writer appends to a block.
type writer struct {
	b     []byte
	words *words
	place int // of the next word in the capture or finding
}

func (w *writer) byte(v byte)   { w.b = append(w.b, v) }
func (w *writer) uint(v uint64) { w.b = binary.AppendUvarint(w.b, v) }
func (w *writer) int(v int)     { w.b = binary.AppendVarint(w.b, int64(v)) }

func (w *writer) float(v float64) {
	w.b = binary.LittleEndian.AppendUint64(w.b, math.Float64bits(v))
}

// text writes a text of a kind, as a word where it is one: 0 and the text, or
// the number of the word.
func (w *writer) text(kind, s string) {
	if s == "" {
		w.uint(1) // the empty text needs no table
		return
	}
	if w.place == len(w.words.above) {
		w.words.above = append(w.words.above, near{})
	}
	w.place++
	w.textBelow(&w.words.above[w.place-1], kind, s)
}

// textBelow writes a text that is likely the same as the one above.
func (w *writer) textBelow(above *near, kind, s string) {
	switch {
	case s == "":
		w.uint(1)
		return
	case above.text == s:
		w.uint(uint64(above.number) + 1)
		return
	}
	n := w.words.number(kind, s)
	if n > 0 {
		*above = near{w.words.list[n-1], n}
		w.uint(uint64(n) + 1)
		return
	}
	w.uint(0)
	w.plain(s)
}

// plain writes a text that hardly ever repeats.
func (w *writer) plain(s string) {
	w.uint(uint64(len(s)))
	w.b = append(w.b, s...)
}
