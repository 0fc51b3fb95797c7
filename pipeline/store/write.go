package store

import (
	"encoding/binary"
	"math"
	"strings"
	"sync"

	"spadefoot/pipeline/record"
)

const (
	maxWords     = 1 << 16 // in a table
	maxOfOneKind = 512     // words of one kind
	maxUnknown   = 4096    // texts of a kind that were none of its words, until it is taken for one without
	longestWord  = 256     // bytes
)

// words are texts that are written once and then called by their number, forms of values
// and readings, and shapes of captures. Many goroutines add words, one adds forms and
// shapes; others may read what there is.
type words struct {
	mu     sync.Mutex // of list, index, forms and shapes
	list   []string
	forms  forms
	shapes shapes
	index  map[string]uint32
	kinds  map[string]*kind
	above  [16]above // what captures or findings said, by their place in them
}

// kind counts the words of one kind, such as the values of one term.
type kind struct{ words, unknown int }

// above are the words that were said last at a place, by their ends and lengths: most
// texts are those of a row not far above.
type above [32]struct {
	text   string
	number uint32
}

// known are the words, forms and shapes that there are.
type known struct {
	words  []string
	forms  []*form
	shapes []*shape
}

// known returns those that there are by now.
func (w *words) known() known {
	w.mu.Lock()
	defer w.mu.Unlock()
	return known{w.list, w.forms.all, w.shapes.all}
}

func newWords() *words {
	return &words{index: map[string]uint32{}, kinds: map[string]*kind{}, forms: forms{at: map[formKey]int{}, above: make([]textsAbove, 1)},
		shapes: shapes{at: map[string]int{}, terms: map[string]*record.Names{}}}
}

// number returns the number of a word of a kind, from 1; 0 where it is not in
// the table and the table or the kind is full. A kind whose values
// hardly repeat is therefore written out.
func (w *words) number(above *above, of, s string) uint32 {
	n := len(s)
	if n > longestWord {
		return 0
	}
	at := &above[(int(s[n-1])*7+int(s[n-n/4-1])*3+int(s[n/2])+n)%len(above)]
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
	w.mu.Lock()
	defer w.mu.Unlock()
	number, ok := w.index[s]
	if !ok {
		if k.words < maxOfOneKind {
			number = w.add(strings.Clone(s), maxWords) // not a part of a larger text
		}
		if number == 0 {
			k.unknown++
			return 0
		}
		k.words++
	}
	at.text, at.number = w.list[number-1], number
	return number
}

// add puts a word into the table, unless that has so many; the caller holds the lock.
func (w *words) add(s string, most int) uint32 {
	if len(w.list) >= most {
		return 0
	}
	w.list = append(w.list, s)
	w.index[s] = uint32(len(w.list))
	return uint32(len(w.list))
}

// Word returns a text that many values will have, the same one for equal texts, and its
// number, from 1; 0 where there is no room for it. It keeps the text. Many goroutines may
// ask.
func (s *Captures) Word(text string) (string, uint32) {
	if s == nil || s.words == nil || text == "" || len(text) > longestWord {
		return text, 0
	}
	w := s.words
	w.mu.Lock()
	defer w.mu.Unlock()
	n, there := w.index[text]
	if !there {
		if n = w.add(text, maxWords/2); n == 0 {
			return text, 0
		}
	}
	return w.list[n-1], n
}

// writer appends to a block.
type writer struct {
	b     []byte
	words *words
	known []string // words that values may call by their number
	place int      // of the next word in the capture or finding
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
	w.textBelow(&w.words.above[w.place%len(w.words.above)], kind, s)
	w.place++
}

// textBelow writes a text of a kind below others.
func (w *writer) textBelow(above *above, kind, s string) { w.marked(above, kind, s, 0, 0) }

// marked writes a text of a kind below others, with marks below what it is called: 1 for
// the empty text, which needs no table, a word by its number and 1, 0 for a text that
// follows.
func (w *writer) marked(above *above, kind, s string, marks uint64, bits int) {
	n := uint64(1)
	if s != "" {
		if n = uint64(w.words.number(above, kind, s)); n > 0 {
			n++
		}
	}
	w.uint(n<<bits | marks)
	if n == 0 {
		w.plain(s)
	}
}

// plain writes a text that hardly ever repeats.
func (w *writer) plain(s string) {
	w.uint(uint64(len(s)))
	w.b = append(w.b, s...)
}
