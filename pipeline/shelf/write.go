package shelf

import (
	"encoding/binary"
	"math"
	"strings"
	"sync"
)

const (
	mostWords   = 1 << 16 // in a table
	mostOfAKind = 512     // words of one kind, such as the values of one term
)

// words are texts that are written once and then called by their number. One
// goroutine adds to them; others may read what there is.
type words struct {
	mu    sync.Mutex // of list
	list  []string
	index map[string]uint32
	kinds map[string]int // how many words of a kind there are
}

// known gives the words that there are by now.
func (w *words) known() []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.list
}

func newWords() *words { return &words{index: map[string]uint32{}, kinds: map[string]int{}} }

// number gives the number of a word of a kind, from 1; 0 where it is not in
// the table and the table or the kind has no room left. A kind whose values
// hardly repeat is therefore written out.
func (w *words) number(kind, s string) uint32 {
	if n, ok := w.index[s]; ok {
		return n
	}
	if len(w.list) >= mostWords || w.kinds[kind] >= mostOfAKind {
		return 0
	}
	w.kinds[kind]++
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
	n := w.words.number(kind, s)
	if n > 0 {
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
