package prove

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
	"os"
)

// reach is how far ahead of the row that was pointed at last the next one is
// looked for.
const reach = 8192

// trail is the identifiers of a table in their order: in memory up to a bound,
// beyond it in a temporary file. Rows that point at them mostly follow that
// order, so that what they point at is found by walking beside them, without
// sorting. Where they do not, the sorted runs decide.
type trail struct {
	dir   string
	bound int
	hold  []key
	file  *os.File
	size  int64
}

const keySize = 16 // bytes of a key on disk

// add takes the identifier of the next row.
func (t *trail) add(k key) error {
	t.hold = append(t.hold, k)
	if len(t.hold) < t.bound {
		return nil
	}
	return t.spill()
}

func (t *trail) spill() error {
	if t.file == nil {
		f, err := os.CreateTemp(t.dir, "order-*.tmp")
		if err != nil {
			return err
		}
		t.file = f
	}
	out := bufio.NewWriterSize(t.file, 1<<16)
	for _, k := range t.hold {
		b := binary.BigEndian.AppendUint64(out.AvailableBuffer(), k.high)
		if _, err := out.Write(binary.BigEndian.AppendUint64(b, k.low)); err != nil {
			return err
		}
	}
	t.size += int64(len(t.hold) * keySize)
	t.hold = t.hold[:0]
	return out.Flush()
}

// close drops the temporary file.
func (t *trail) close() {
	if t.file != nil {
		t.file.Close()
		os.Remove(t.file.Name())
	}
	t.file = nil
}

// walk is one way along a trail.
type walk struct {
	in     *bufio.Reader // the part of the trail that is on disk; nil for none
	ahead  []key         // what is at hand of the trail
	at     int           // of the row pointed at last in it
	credit int           // rows that may still be looked at in vain
}

// walk begins at the first row. The trail may not grow any more.
func (t *trail) walk() (*walk, error) {
	if t.file == nil {
		return &walk{ahead: t.hold, credit: reach}, nil
	}
	if err := t.spill(); err != nil {
		return nil, err
	}
	t.hold = nil
	in := bufio.NewReaderSize(io.NewSectionReader(t.file, 0, t.size), 1<<16)
	return &walk{in: in, ahead: make([]key, 0, 2*reach), credit: reach}, nil
}

// follow reports whether an identifier is where it is looked for: at the
// row pointed at last or not far behind it. Looking is paid from a credit,
// which finding restores, so that rows in another order cost little.
func (w *walk) follow(k key) (bool, error) {
	far := min(reach, 2+w.credit)
	for n := range far {
		if w.at+n == len(w.ahead) {
			more, err := w.read(n)
			if err != nil {
				return false, err
			}
			if !more {
				far = n
				break
			}
		}
		if w.ahead[w.at+n] == k {
			w.at += n
			w.credit = min(w.credit+16-n, reach)
			return true, nil
		}
	}
	w.credit = max(w.credit-far, 0)
	return false, nil
}

// read gets more keys from the file, and drops those that were passed.
func (w *walk) read(keep int) (more bool, err error) {
	if w.in == nil {
		return false, nil
	}
	w.ahead, w.at = w.ahead[:copy(w.ahead, w.ahead[w.at:w.at+keep])], 0
	for len(w.ahead) < cap(w.ahead) {
		b, err := w.in.Peek(keySize)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return false, err
		}
		w.ahead = append(w.ahead, key{binary.BigEndian.Uint64(b), binary.BigEndian.Uint64(b[8:])})
		if _, err := w.in.Discard(keySize); err != nil {
			return false, err
		}
	}
	return len(w.ahead) > keep, nil
}
