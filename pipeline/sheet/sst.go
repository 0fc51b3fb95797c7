package sheet

import (
	"encoding/binary"
	"errors"
	"strings"
)

var errStrings = errors.New("the table of its texts is damaged")

// sstReader reads the shared strings of BIFF8, which run over the borders of
// CONTINUE records. Where a border cuts the characters of a string, the next
// record begins with a byte that says how wide the rest is ([MS-XLS] 2.4.265).
type sstReader struct {
	parts [][]byte // contents of the SST record and those that continue it
	at    int      // in parts[0]
}

func (r *sstReader) left() int {
	if len(r.parts) == 0 {
		return 0
	}
	return len(r.parts[0]) - r.at
}

// border moves to the next record when this one is used up.
func (r *sstReader) border() bool {
	for len(r.parts) > 0 && r.left() == 0 {
		r.parts, r.at = r.parts[1:], 0
	}
	return len(r.parts) > 0
}

// take returns n bytes that may lie in several records.
func (r *sstReader) take(n int) ([]byte, bool) {
	var out []byte
	for n > 0 {
		if !r.border() {
			return nil, false
		}
		k := min(n, r.left())
		if out == nil && k == n {
			out = r.parts[0][r.at : r.at+k]
		} else {
			out = append(out, r.parts[0][r.at:r.at+k]...)
		}
		r.at += k
		n -= k
	}
	return out, true
}

// skip passes over n bytes.
func (r *sstReader) skip(n int) bool {
	for n > 0 {
		if !r.border() {
			return false
		}
		k := min(n, r.left())
		r.at += k
		n -= k
	}
	return true
}

// read returns one string ([MS-XLS] 2.5.293).
func (r *sstReader) read() (string, bool) {
	head, ok := r.take(3)
	if !ok {
		return "", false
	}
	n, flags := int(binary.LittleEndian.Uint16(head)), head[2]
	runs, extra := 0, 0
	if flags&8 != 0 {
		b, ok := r.take(2)
		if !ok {
			return "", false
		}
		runs = int(binary.LittleEndian.Uint16(b))
	}
	if flags&4 != 0 {
		b, ok := r.take(4)
		if !ok {
			return "", false
		}
		extra = int(int32(binary.LittleEndian.Uint32(b)))
	}
	s, ok := r.characters(n, flags&1 != 0)
	return s, ok && extra >= 0 && r.skip(4*runs+extra)
}

func (r *sstReader) characters(n int, wide bool) (string, bool) {
	var out strings.Builder
	for n > 0 {
		if r.left() == 0 {
			if !r.border() {
				return "", false
			}
			wide = r.parts[0][0]&1 != 0
			r.at = 1
			continue
		}
		size := 1
		if wide {
			size = 2
		}
		k := min(n, r.left()/size)
		if k == 0 {
			return "", false
		}
		s, used, _ := characters(r.parts[0][r.at:], k, wide)
		out.WriteString(s)
		r.at += used
		n -= k
	}
	return out.String(), true
}

// readSST reads the whole table.
func readSST(parts [][]byte) ([]string, error) {
	if len(parts) == 0 || len(parts[0]) < 8 {
		return nil, errStrings
	}
	unique := int(binary.LittleEndian.Uint32(parts[0][4:]))
	r := &sstReader{parts: parts, at: 8}
	var out []string
	for range unique {
		if !r.border() {
			break // fewer than announced; a cell that wants one of the missing is an error
		}
		s, ok := r.read()
		if !ok {
			return nil, errStrings
		}
		out = append(out, s)
	}
	return out, nil
}
