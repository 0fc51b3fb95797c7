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

// trail is the identifiers of the core in their order: in memory up to a
// bound, beyond it in a temporary file. The rows of an extension mostly follow
// that order, so that what they point at is found by walking beside them,
// without sorting. Where they do not, the sorted runs decide.
type trail struct {
	dir   string
	bound int
	hold  []key
	file  *os.File
	out   *bufio.Writer

	in     *bufio.Reader
	ahead  []key // the keys from the one pointed at last
	at     int   // of that one
	credit int   // keys that may still be looked at in vain
}

const trailKey = 16 // bytes of a key on disk

// add takes the identifier of the next row of the core.
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
		t.file, t.out = f, bufio.NewWriterSize(f, 1<<16)
	}
	for _, k := range t.hold {
		b := binary.BigEndian.AppendUint64(t.out.AvailableBuffer(), k.high)
		if _, err := t.out.Write(binary.BigEndian.AppendUint64(b, k.low)); err != nil {
			return err
		}
	}
	t.hold = t.hold[:0]
	return t.out.Flush()
}

// begin goes back to the first row of the core.
func (t *trail) begin() error {
	t.at, t.credit = 0, reach
	if t.file == nil {
		t.ahead = t.hold
		return nil
	}
	if err := t.spill(); err != nil {
		return err
	}
	t.hold = nil
	if _, err := t.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	t.in, t.ahead = bufio.NewReaderSize(t.file, 1<<16), make([]key, 0, 2*reach)
	return nil
}

// follow reports whether the core has the identifier where it is looked for:
// at the row pointed at last or not far behind it. Looking is paid from a
// credit, which finding restores, so that an extension in another order costs
// little.
func (t *trail) follow(k key) (bool, error) {
	far := min(reach, 2+t.credit)
	for n := range far {
		if t.at+n == len(t.ahead) {
			more, err := t.read(n)
			if err != nil {
				return false, err
			}
			if !more {
				far = n
				break
			}
		}
		if t.ahead[t.at+n] == k {
			t.at += n
			t.credit = min(t.credit+16-n, reach)
			return true, nil
		}
	}
	t.credit = max(t.credit-far, 0)
	return false, nil
}

// read gets more keys from the file, and drops those that were passed.
func (t *trail) read(keep int) (more bool, err error) {
	if t.in == nil {
		return false, nil
	}
	t.ahead, t.at = t.ahead[:copy(t.ahead, t.ahead[t.at:t.at+keep])], 0
	for len(t.ahead) < cap(t.ahead) {
		b, err := t.in.Peek(trailKey)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return false, err
		}
		t.ahead = append(t.ahead, key{binary.BigEndian.Uint64(b), binary.BigEndian.Uint64(b[8:])})
		if _, err := t.in.Discard(trailKey); err != nil {
			return false, err
		}
	}
	return len(t.ahead) > keep, nil
}

// close drops the temporary file.
func (t *trail) close() {
	if t.file != nil {
		t.file.Close()
		os.Remove(t.file.Name())
	}
	t.file = nil
}
