package store

import (
	"bufio"
	"cmp"
	"encoding/binary"
	"io"
	"iter"
	"os"
	"slices"

	"spadefoot/pipeline/record/digest"
)

// maxInMemory is the number of texts that EqualTexts holds before it writes them to
// its file: 16 MiB.
const maxInMemory = 1 << 20

// EqualTexts finds equal texts among many, each with the ordinal of its owner. It
// goes by 64-bit digests, so whoever uses it looks at the texts again: among 10
// million the chance of any false pair is 3 in a million.
type EqualTexts struct {
	dir   string
	bound int
	hold  []entry
	file  *os.File
	ends  []int64 // of the runs in the file, in bytes

	groups [][]int // where another machine found the equal texts
}

// Equal makes one whose equal texts were found elsewhere.
func Equal(groups [][]int) *EqualTexts { return &EqualTexts{groups: groups} }

// Packed returns what was added, in blocks by the first bits of the digests.
// Nothing must have gone to the file yet.
func (t *EqualTexts) Packed(bits int) map[int][]byte {
	out := map[int][]byte{}
	for _, e := range t.hold {
		at := int(e.digest >> 1 >> (63 - bits))
		out[at] = binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(out[at], e.digest), e.ordinal)
	}
	return out
}

// AddPacked adds a block of Packed.
func (t *EqualTexts) AddPacked(block []byte) error {
	for ; len(block) >= 16; block = block[16:] {
		if err := t.add(entry{binary.LittleEndian.Uint64(block), binary.LittleEndian.Uint64(block[8:])}); err != nil {
			return err
		}
	}
	return nil
}

type entry struct{ digest, ordinal uint64 }

func compareEntries(a, b entry) int {
	if a.digest != b.digest {
		return cmp.Compare(a.digest, b.digest)
	}
	return cmp.Compare(a.ordinal, b.ordinal)
}

// NewEqualTexts makes an empty one that writes what is too much for memory to a file
// in a folder. The file goes with Close.
func NewEqualTexts(dir string) *EqualTexts { return &EqualTexts{dir: dir, bound: maxInMemory} }

// DrawerOf is the drawer of a text, by so many first bits of its digest.
func DrawerOf(text string, bits int) int {
	return int(digest.Spread(uint64(digest.Start.Text(text))) >> 1 >> (63 - bits))
}

// Add takes a text and its owner.
func (t *EqualTexts) Add(text string, ordinal int) error {
	return t.add(entry{digest.Spread(uint64(digest.Start.Text(text))), uint64(ordinal)})
}

func (t *EqualTexts) add(e entry) error {
	t.hold = append(t.hold, e)
	if len(t.hold) < t.bound {
		return nil
	}
	return t.spill()
}

func (t *EqualTexts) spill() (err error) {
	if t.file == nil {
		if t.file, err = Temporary(t.dir, "texts-*.tmp"); err != nil {
			return err
		}
	}
	t.sort()
	w := bufio.NewWriterSize(t.file, 1<<16)
	var b [16]byte
	for _, e := range t.hold {
		binary.LittleEndian.PutUint64(b[:], e.digest)
		binary.LittleEndian.PutUint64(b[8:], e.ordinal)
		if _, err := w.Write(b[:]); err != nil {
			return err
		}
	}
	from := int64(0)
	if n := len(t.ends); n > 0 {
		from = t.ends[n-1]
	}
	t.ends = append(t.ends, from+int64(16*len(t.hold)))
	t.hold = t.hold[:0]
	return w.Flush()
}

// sort sorts what is in memory: if it is much, into drawers by the first bits of the
// digests, which are spread evenly, and then each drawer.
func (t *EqualTexts) sort() {
	const bits = 15
	if len(t.hold) < 1<<bits {
		slices.SortFunc(t.hold, compareEntries)
		return
	}
	ends, sorted := make([]int, 1<<bits+1), make([]entry, len(t.hold))
	for _, e := range t.hold {
		ends[e.digest>>(64-bits)+1]++
	}
	for i := range 1 << bits {
		ends[i+1] += ends[i]
	}
	for _, e := range t.hold {
		end := &ends[e.digest>>(64-bits)]
		sorted[*end] = e
		*end++
	}
	from := 0
	for _, end := range ends {
		slices.SortFunc(sorted[from:end], compareEntries)
		from = end
	}
	t.hold = sorted
}

// Close drops the file.
func (t *EqualTexts) Close() error {
	if t == nil || t.file == nil {
		return nil
	}
	f := t.file
	t.file = nil
	return Remove(f)
}

// Groups returns the owners of each text that more than one has, ascending, in no
// order that means anything but always the same. The slice is good until the
// next. It ends after an error.
func (t *EqualTexts) Groups() iter.Seq2[[]int, error] {
	return func(yield func([]int, error) bool) {
		for _, group := range t.groups {
			if !yield(slices.Clone(group), nil) {
				return
			}
		}
		var group []int
		var last uint64
		for e, err := range t.sorted() {
			if err != nil {
				yield(nil, err)
				return
			}
			if len(group) > 0 && e.digest != last {
				if len(group) > 1 && !yield(group, nil) {
					return
				}
				group = group[:0]
			}
			last = e.digest
			group = append(group, int(e.ordinal))
		}
		if len(group) > 1 {
			yield(group, nil)
		}
	}
}

// sorted merges the runs of the file and what is in memory.
func (t *EqualTexts) sorted() iter.Seq2[entry, error] {
	return func(yield func(entry, error) bool) {
		t.sort()
		hold := t.hold
		var heads []entry
		var runs []io.Reader
		from := int64(0)
		for _, end := range t.ends {
			r := bufio.NewReaderSize(io.NewSectionReader(t.file, from, end-from), 1<<15)
			from = end
			e, _, err := nextEntry(r)
			if err != nil {
				yield(e, err)
				return
			}
			heads, runs = append(heads, e), append(runs, r)
		}
		for len(hold) > 0 || len(heads) > 0 {
			best := -1
			for i := range heads {
				if best < 0 || compareEntries(heads[i], heads[best]) < 0 {
					best = i
				}
			}
			if len(hold) > 0 && (best < 0 || compareEntries(hold[0], heads[best]) < 0) {
				if !yield(hold[0], nil) {
					return
				}
				hold = hold[1:]
				continue
			}
			if !yield(heads[best], nil) {
				return
			}
			e, more, err := nextEntry(runs[best])
			switch {
			case err != nil:
				yield(e, err)
				return
			case more:
				heads[best] = e
			default:
				heads, runs = slices.Delete(heads, best, best+1), slices.Delete(runs, best, best+1)
			}
		}
	}
}

func nextEntry(r io.Reader) (entry, bool, error) {
	var b [16]byte
	switch _, err := io.ReadFull(r, b[:]); err {
	case nil:
		return entry{binary.LittleEndian.Uint64(b[:]), binary.LittleEndian.Uint64(b[8:])}, true, nil
	case io.EOF:
		return entry{}, false, nil
	default:
		return entry{}, false, err
	}
}
