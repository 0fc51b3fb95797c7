package store

import (
	"bufio"
	"cmp"
	"container/heap"
	"encoding/binary"
	"io"
	"iter"
	"os"
	"slices"
	"strings"
)

// maxSorted is the number of bytes that Sorted holds before it writes them to
// its file.
const maxSorted = 8 << 20

// Sorted puts texts into the order of their keys; of equal keys, the text that
// came first stands first.
type Sorted struct {
	dir   string
	bound int
	hold  []keyed
	size  int
	file  *os.File
	ends  []int64 // of the runs in the file, in bytes
}

type keyed struct {
	key, text string
	came      int // place among those that are held
}

func inOrder(a, b keyed) int {
	if c := strings.Compare(a.key, b.key); c != 0 {
		return c
	}
	return cmp.Compare(a.came, b.came)
}

// NewSorted makes an empty one that writes what is too much for memory to a file
// in a folder; in the system's if that is empty. The file goes with Close.
func NewSorted(dir string) *Sorted { return &Sorted{dir: dir, bound: maxSorted} }

// Add takes a text and its key.
func (s *Sorted) Add(key, text string) error {
	s.hold = append(s.hold, keyed{key, text, len(s.hold)})
	if s.size += len(key) + len(text) + 40; s.size < s.bound {
		return nil
	}
	return s.spill()
}

func (s *Sorted) spill() (err error) {
	if s.file == nil {
		if s.file, err = Temporary(s.dir, "sorted-*.tmp"); err != nil {
			return err
		}
	}
	slices.SortFunc(s.hold, inOrder)
	end := int64(0)
	if n := len(s.ends); n > 0 {
		end = s.ends[n-1]
	}
	w := bufio.NewWriterSize(s.file, 1<<16)
	for _, k := range s.hold {
		b := binary.AppendUvarint(w.AvailableBuffer(), uint64(len(k.key)))
		b = binary.AppendUvarint(append(b, k.key...), uint64(len(k.text)))
		b = append(b, k.text...)
		end += int64(len(b))
		if _, err := w.Write(b); err != nil {
			return err
		}
	}
	s.ends = append(s.ends, end)
	clear(s.hold)
	s.hold, s.size = s.hold[:0], 0
	return w.Flush()
}

// Close drops the file.
func (s *Sorted) Close() error {
	if s.file == nil {
		return nil
	}
	f := s.file
	s.file = nil
	return Remove(f)
}

// All returns keys and texts in the order of the keys. It ends after an error.
func (s *Sorted) All() iter.Seq2[[2]string, error] {
	return func(yield func([2]string, error) bool) {
		slices.SortFunc(s.hold, inOrder)
		var runs runs
		from := int64(0)
		for _, end := range s.ends {
			runs = append(runs, &sortedRun{number: len(runs), in: bufio.NewReaderSize(io.NewSectionReader(s.file, from, end-from), 1<<15)})
			from = end
		}
		runs = append(runs, &sortedRun{number: len(runs), hold: s.hold})
		for _, r := range runs {
			if err := r.peek(); err != nil {
				yield([2]string{}, err)
				return
			}
		}
		runs = slices.DeleteFunc(runs, func(r *sortedRun) bool { return r.done })
		heap.Init(&runs)
		for len(runs) > 0 {
			least := runs[0]
			if !yield([2]string{least.next.key, least.next.text}, nil) {
				return
			}
			if err := least.peek(); err != nil {
				yield([2]string{}, err)
				return
			}
			if least.done {
				heap.Pop(&runs)
			} else {
				heap.Fix(&runs, 0)
			}
		}
	}
}

// runs is a heap of runs, the least text first.
type runs []*sortedRun

func (r runs) Len() int      { return len(r) }
func (r runs) Swap(i, j int) { r[i], r[j] = r[j], r[i] }
func (r runs) Less(i, j int) bool {
	c := strings.Compare(r[i].next.key, r[j].next.key)
	return c < 0 || c == 0 && r[i].number < r[j].number
}
func (r *runs) Push(x any) { *r = append(*r, x.(*sortedRun)) }
func (r *runs) Pop() any {
	last := len(*r) - 1
	x := (*r)[last]
	*r = (*r)[:last]
	return x
}

// sortedRun is a run of texts that are in order, of the file or in memory.
type sortedRun struct {
	number int
	in     *bufio.Reader
	hold   []keyed
	next   keyed
	done   bool
}

// peek reads the next text.
func (r *sortedRun) peek() (err error) {
	if r.in == nil {
		if r.done = len(r.hold) == 0; !r.done {
			r.next, r.hold = r.hold[0], r.hold[1:]
		}
		return nil
	}
	if _, err := r.in.Peek(1); err == io.EOF {
		r.done = true
		return nil
	}
	key, err := r.text()
	text, err2 := r.text()
	r.next = keyed{key: key, text: text}
	return cmp.Or(err, err2)
}

func (r *sortedRun) text() (string, error) {
	n, err := binary.ReadUvarint(r.in)
	if err != nil {
		return "", err
	}
	b := make([]byte, n)
	_, err = io.ReadFull(r.in, b)
	return string(b), err
}
