package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"sort"
	"sync"
	"unsafe"

	"spadefoot/pipeline/record"
)

// Captures is the captures of a survey, part by part. One goroutine puts them
// there; others may read parts back that are not being put there.
type Captures struct {
	under *Captures           // that the others of them are in
	some  map[int][]byte      // of a store that holds only these, by ordinal
	held  [][]*record.Capture // of a store in memory
	file  *os.File
	end   int64
	words *words
	mu    sync.Mutex // of parts
	parts []part
	block []byte
	first []int // ordinal of the first capture of each part
	total int
}

// part is where the captures of a part stand.
type part struct {
	at   int64
	size int
	counts
}

// New makes an empty store with its file in a folder. The file goes with Close.
func New(dir string) (*Captures, error) {
	f, err := Temporary(dir, "captures-*.tmp")
	if err != nil {
		return nil, err
	}
	return &Captures{file: f, words: newWords()}, nil
}

// InMemory makes an empty store in memory. It keeps the captures themselves, so that
// what is changed in a part stays changed.
func InMemory() *Captures { return &Captures{} }

// Some makes a store of parts with so many captures each, of which only some will be
// here: those that are fetched from other machines.
func Some(parts []int) *Captures {
	s := &Captures{some: map[int][]byte{}, words: newWords()}
	for _, n := range parts {
		s.first = append(s.first, s.total)
		s.parts = append(s.parts, part{counts: counts{captures: n}})
		s.total += n
	}
	return s
}

// Another is a store of Some with the same captures, which will get more.
func (s *Captures) Another() *Captures {
	return &Captures{under: s, some: map[int][]byte{}, words: newWords(), parts: s.parts, first: s.first, total: s.total}
}

// Fetched puts a capture into a store of Some, by its ordinal.
func (s *Captures) Fetched(ordinal int, c *record.Capture) {
	w := writer{b: s.block[:0], words: s.words}
	w.capture(c)
	s.block, s.some[ordinal] = w.b, bytes.Clone(w.b)
}

// Close drops the store and its file.
func (s *Captures) Close() error {
	if s == nil || s.file == nil {
		return nil
	}
	f := s.file
	s.file = nil
	return Remove(f)
}

// Temporary makes a file. Where the system lets an open file be removed it has
// no name any more, so that nothing is left of it however the program ends; Remove
// drops it.
func Temporary(dir, pattern string) (*os.File, error) {
	f, err := os.CreateTemp(dir, pattern)
	if err == nil {
		_ = os.Remove(f.Name()) // else Remove does it
	}
	return f, err
}

// Remove drops a file of Temporary.
func Remove(f *os.File) error {
	_ = f.Close() // nothing of it is wanted any more
	if err := os.Remove(f.Name()); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// Add puts the captures of the next part into the store. They are not kept, unless
// the store is in memory.
func (s *Captures) Add(captures []*record.Capture) error {
	p, err := s.put(captures)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.first = append(s.first, s.total)
	s.parts = append(s.parts, p)
	s.total += len(captures)
	return nil
}

// Replace puts the captures of a part into the store anew; there must be as many
// as before.
func (s *Captures) Replace(i int, captures []*record.Capture) error {
	if n := s.part(i).captures; len(captures) != n {
		return fmt.Errorf("part %d has %d captures, not %d", i, n, len(captures))
	}
	if s.file == nil {
		s.held[i] = captures
		return nil
	}
	p, err := s.put(captures)
	if err == nil {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.parts[i] = p
	}
	return err
}

func (s *Captures) part(i int) part {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.parts[i]
}

// put writes a block: where each capture begins, then the captures.
func (s *Captures) put(captures []*record.Capture) (part, error) {
	p := part{at: s.end}
	if s.file == nil {
		s.held = append(s.held, captures)
		p.captures = len(captures)
		return p, nil
	}
	w := writer{b: s.block[:0], words: s.words, known: s.words.known().words}
	w.b = append(w.b, make([]byte, 4*len(captures))...)
	for i, c := range captures {
		binary.LittleEndian.PutUint32(w.b[4*i:], uint32(len(w.b)))
		w.capture(c)
		p.add(c)
	}
	s.block = w.b
	p.size = len(w.b)
	if _, err := s.file.WriteAt(w.b, p.at); err != nil {
		return p, err
	}
	s.end += int64(p.size)
	return p, nil
}

// Parts is the number of parts, Captures that of captures.
func (s *Captures) Parts() int    { return len(s.parts) }
func (s *Captures) Captures() int { return s.total }

// First is the ordinal of the first capture of a part, from 0.
func (s *Captures) First(i int) int { return s.first[i] }

// Size is the number of captures of a part.
func (s *Captures) Size(i int) int { return s.part(i).captures }

// Take returns the captures of a part. They stand in the memory of the buffer and are
// good until it takes another part; their texts are good for ever.
func (s *Captures) Take(i int, h *Buffer) ([]*record.Capture, error) {
	if s.file == nil {
		return s.held[i], nil
	}
	p := s.part(i)
	block := make([]byte, p.size)
	if _, err := s.file.ReadAt(block, p.at); err != nil {
		return nil, err
	}
	h.fit(&p.counts)
	text := unsafe.String(unsafe.SliceData(block), len(block)) // nobody writes into the block from here on
	t := taker{reader: reader{s: text, at: 4 * p.captures, known: s.words.known()}, buffer: h}
	for k := range h.slab {
		t.capture(&h.slab[k])
		h.captures[k] = &h.slab[k]
	}
	return h.captures, t.err
}

// Find returns one capture by its ordinal, in memory of its own unless the store is
// in memory.
func (s *Captures) Find(ordinal int) (*record.Capture, error) {
	if s.some != nil {
		b := s.some[ordinal]
		switch {
		case b != nil:
			return s.found(b)
		case s.under != nil:
			return s.under.Find(ordinal)
		}
		return nil, fmt.Errorf("capture %d was not fetched", ordinal)
	}
	i := s.Part(ordinal)
	p, k := s.part(i), ordinal-s.first[i]
	if s.file == nil {
		return s.held[i][k], nil
	}
	var bounds [8]byte
	to := p.size
	n := 4
	if k+1 < p.captures {
		n = 8
	}
	if _, err := s.file.ReadAt(bounds[:n], p.at+int64(4*k)); err != nil {
		return nil, err
	}
	from := int(binary.LittleEndian.Uint32(bounds[:]))
	if n == 8 {
		to = int(binary.LittleEndian.Uint32(bounds[4:]))
	}
	if from > to || to > p.size {
		return nil, errDamaged
	}
	b := make([]byte, to-from)
	if _, err := s.file.ReadAt(b, p.at+int64(from)); err != nil {
		return nil, err
	}
	return s.found(b)
}

// found unpacks one capture.
func (s *Captures) found(b []byte) (*record.Capture, error) {
	t := taker{reader: reader{s: string(b), known: s.words.known()}, buffer: &Buffer{}}
	t.grows = true
	c := &record.Capture{}
	t.capture(c)
	return c, t.err
}

// Part is the number of the part that holds a capture.
func (s *Captures) Part(ordinal int) int {
	return sort.Search(len(s.first), func(i int) bool { return s.first[i] > ordinal }) - 1
}
