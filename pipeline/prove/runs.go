package prove

import (
	"bufio"
	"cmp"
	"container/heap"
	"encoding/binary"
	"errors"
	"io"
	"os"
)

// place is where an identifier is: the number of the file within its
// entity, and the line.
type place uint64

func placeOf(file, line int) place { return place(uint64(file)<<44 | uint64(line)) }
func (p place) file() int          { return int(p >> 44) }
func (p place) line() int          { return int(p & (1<<44 - 1)) }

// entry is one identifier and its place.
type entry struct {
	key key
	at  place
}

func (e entry) compare(o entry) int {
	if c := e.key.compare(o.key); c != 0 {
		return c
	}
	return cmp.Compare(e.at, o.at)
}

// entrySize is the length of an entry on disk.
const entrySize = 24

func (e entry) appendTo(b []byte) []byte {
	b = binary.BigEndian.AppendUint64(b, e.key.high)
	b = binary.BigEndian.AppendUint64(b, e.key.low)
	return binary.BigEndian.AppendUint64(b, uint64(e.at))
}

func entryOf(b []byte) entry {
	return entry{key{binary.BigEndian.Uint64(b), binary.BigEndian.Uint64(b[8:])}, place(binary.BigEndian.Uint64(b[16:]))}
}

// runs sorts entries: in memory up to a bound, beyond it as sorted runs in
// temporary files that are merged.
type runs struct {
	dir   string
	bound int
	hold  []entry
	files []*os.File
}

// add takes an identifier.
func (r *runs) add(id key, at place) error {
	r.hold = append(r.hold, entry{id, at})
	if len(r.hold) < r.bound {
		return nil
	}
	return r.spill()
}

func (r *runs) spill() error {
	sortEntries(r.hold)
	f, err := os.CreateTemp(r.dir, "ids-*.tmp")
	if err != nil {
		return err
	}
	r.files = append(r.files, f)
	w := bufio.NewWriterSize(f, 1<<16)
	for _, e := range r.hold {
		if _, err := w.Write(e.appendTo(w.AvailableBuffer())); err != nil {
			return err
		}
	}
	r.hold = r.hold[:0]
	return w.Flush()
}

// settle puts what is held on disk, unless that is little.
func (r *runs) settle() error {
	if len(r.hold) <= r.bound/2 {
		return nil
	}
	err := r.spill()
	r.hold = nil
	return err
}

// close drops the temporary files.
func (r *runs) close() {
	for _, f := range r.files {
		f.Close()
		os.Remove(f.Name())
	}
	r.files = nil
}

// sorted returns all entries in order, through next; io.EOF ends them. It may be
// called again.
func (r *runs) sorted() (*merged, error) {
	sortEntries(r.hold)
	m := &merged{}
	if len(r.hold) > 0 {
		m.add(&source{hold: r.hold})
	}
	for _, f := range r.files {
		if _, err := f.Seek(0, io.SeekStart); err != nil {
			return nil, err
		}
		if err := m.add(&source{file: bufio.NewReaderSize(f, 1<<16)}); err != nil {
			return nil, err
		}
	}
	heap.Init(m)
	return m, nil
}

// source is one sorted run, in memory or on disk.
type source struct {
	hold []entry
	file *bufio.Reader
	head entry
}

func (s *source) advance() error {
	if s.file == nil {
		if len(s.hold) == 0 {
			return io.EOF
		}
		s.head, s.hold = s.hold[0], s.hold[1:]
		return nil
	}
	b, err := s.file.Peek(entrySize)
	if err != nil {
		return err
	}
	s.head = entryOf(b)
	_, err = s.file.Discard(entrySize)
	return err
}

// merged is a heap of sources by their first entry.
type merged struct{ sources []*source }

func (m *merged) add(s *source) error {
	err := s.advance()
	if errors.Is(err, io.EOF) {
		return nil
	}
	m.sources = append(m.sources, s)
	return err
}

func (m *merged) Len() int { return len(m.sources) }
func (m *merged) Less(i, j int) bool {
	return m.sources[i].head.compare(m.sources[j].head) < 0
}
func (m *merged) Swap(i, j int) { m.sources[i], m.sources[j] = m.sources[j], m.sources[i] }
func (m *merged) Push(x any)    { m.sources = append(m.sources, x.(*source)) }
func (m *merged) Pop() any {
	last := m.sources[len(m.sources)-1]
	m.sources = m.sources[:len(m.sources)-1]
	return last
}

// next returns the least entry that is left.
func (m *merged) next() (entry, error) {
	if len(m.sources) == 0 {
		return entry{}, io.EOF
	}
	s := m.sources[0]
	e := s.head
	switch err := s.advance(); {
	case errors.Is(err, io.EOF):
		heap.Pop(m)
	case err != nil:
		return e, err
	default:
		heap.Fix(m, 0)
	}
	return e, nil
}

// duplicates gives, in the order of the merge, each entry whose identifier
// is at an earlier place too, with that place.
func (r *runs) duplicates(report func(again, first place)) error {
	m, err := r.sorted()
	if err != nil {
		return err
	}
	var first entry
	for n := 0; ; n++ {
		e, err := m.next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if n > 0 && e.key == first.key {
			report(e.at, first.at)
			continue
		}
		first = e
	}
}

// orphans reports each entry of r whose identifier is not in core.
func (r *runs) orphans(core *runs, report func(at place)) error {
	if len(r.hold) == 0 && len(r.files) == 0 {
		return nil
	}
	mine, err := r.sorted()
	if err != nil {
		return err
	}
	theirs, err := core.sorted()
	if err != nil {
		return err
	}
	known, knownErr := theirs.next()
	for {
		e, err := mine.next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		for knownErr == nil && known.key.compare(e.key) < 0 {
			known, knownErr = theirs.next()
		}
		if knownErr != nil && !errors.Is(knownErr, io.EOF) {
			return knownErr
		}
		if knownErr != nil || known.key != e.key {
			report(e.at)
		}
	}
}
