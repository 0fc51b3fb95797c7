package prove

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math/bits"
	"slices"
	"strings"
)

// errShort says that the end of a row is not at hand yet.
var errShort = errors.New("the row goes on")

// What a byte of a row may be.
const (
	inField  = iota // a part of a field
	fieldEnd        // what parts two fields
	rowEnd          // the end of a line
	unclear         // which of them depends on what is not at hand yet
)

const (
	eachByte = 0x0101010101010101
	highBits = 0x80 * eachByte
)

// prepare works out how plain finds the bytes that may mean something.
// Separator, quotation mark and line ends lie low among the bytes, and most of
// what is in fields lies above them: every byte up to the highest of them
// is looked at, and the others are passed over eight at a time.
func (t *textReader) prepare() {
	top := max(t.separator, t.quote, '\r')
	if top >= 0x80 {
		t.every = highBits
		return
	}
	t.lift = uint64(0x7f-top) * eachByte
}

// row finds the fields of the row that begins at t.at, and returns where the next
// one begins.
func (t *textReader) row() (int, error) {
	t.cells, t.spare = t.cells[:0], t.spare[:0]
	start, i := t.at, t.at
	for {
		seen := len(t.cells)
		start, i = t.plain(start, i)
		switch {
		case i-t.at > maxField && t.tooLong(t.cells[seen:], i-start):
			return 0, &textError{t.line, fmt.Sprintf("a field is longer than %d bytes", maxField)}
		case i < len(t.data):
		case t.failed != io.EOF:
			return 0, errShort
		default: // the last line has no end
			t.cells = append(t.cells, cell{start, i})
			return i, nil
		}
		c := cell{start, i}
		to, kind := 0, inField
		if b := t.data[i]; b != t.quote || t.quote == 0 {
			to, kind = t.delimiter(i)
		} else if i == start {
			var err error
			if c, i, err = t.enclosed(i + 1); err != nil {
				return 0, err
			}
			if to, kind = t.delimiter(i); kind == inField {
				return 0, &textError{t.line, "a closing quotation mark is not followed by the end of the field or of the line"}
			}
		} else if t.stray == 0 {
			t.stray = t.line
		}
		switch kind {
		case unclear:
			return 0, errShort
		case inField:
			i++
			continue
		}
		t.cells = append(t.cells, c)
		if kind == rowEnd {
			return to, nil
		}
		start, i = to, to
	}
}

// plain passes over what is not enclosed, in a field that began at start, and
// stops at the first byte from i on that may be more than a separator. It gives
// where the field with this byte began. A byte below 128 is lifted above 127
// unless it lies low; no sum carries into the byte beside it.
func (t *textReader) plain(start, i int) (field, stop int) {
	data, end := t.data[:len(t.data)+slack], len(t.data)
	separator, quote, simple := t.separator, t.quote, t.more == ""
	lift, every := t.lift, t.every
	cells := t.cells
	for ; i < end; i += 8 {
		eight := binary.LittleEndian.Uint64(data[i : i+8])
		low := (^((eight&^highBits + lift) | eight) | every) & highBits
		for ; low != 0; low &= low - 1 {
			at := i + bits.TrailingZeros64(low)>>3
			if at >= end {
				break
			}
			switch b := data[at]; {
			case b == separator && simple:
				cells = append(cells, cell{start, at})
				start = at + 1
			case b == separator, b == '\n', b == '\r', b == quote && quote != 0:
				t.cells = cells
				return start, at
			}
		}
	}
	t.cells = cells
	return start, end
}

// delimiter says whether a field ends at a place, and where the next begins.
func (t *textReader) delimiter(at int) (to, kind int) {
	more := t.failed != io.EOF
	if at == len(t.data) {
		if more {
			return at, unclear
		}
		return at, rowEnd
	}
	rest := t.data[at+1:]
	if b := t.data[at]; b == t.separator {
		switch {
		case len(rest) >= len(t.more) && string(rest[:len(t.more)]) == t.more:
			return at + 1 + len(t.more), fieldEnd
		case more && len(rest) < len(t.more) && strings.HasPrefix(t.more, string(rest)):
			return at, unclear
		}
	}
	switch t.data[at] {
	case '\n':
		t.ends[endLF]++
		t.line++
		return at + 1, rowEnd
	case '\r':
		if len(rest) == 0 && more {
			return at, unclear
		}
		t.line++
		if len(rest) > 0 && rest[0] == '\n' {
			t.ends[endCRLF]++
			return at + 2, rowEnd
		}
		t.ends[endCR]++
		return at + 1, rowEnd
	}
	return at, inField
}

// enclosed reads on behind an opening quotation mark, and returns what comes
// after the closing one. Two marks stand for one.
func (t *textReader) enclosed(from int) (c cell, next int, err error) {
	opened, doubled := t.line, false
	for i := from; ; i += 2 {
		n := bytes.IndexByte(t.data[min(i, len(t.data)):], t.quote)
		if n >= 0 {
			i += n
		}
		if n < 0 || i+1 == len(t.data) && t.failed != io.EOF {
			t.line += bytes.Count(t.data[from:], []byte{'\n'})
			switch {
			case len(t.data)-from > maxField:
				return cell{}, 0, unclosed(opened)
			case t.failed != io.EOF:
				return cell{}, 0, errShort
			}
			return cell{}, 0, &textError{opened, "a quotation mark is opened and never closed"}
		}
		if i+1 < len(t.data) && t.data[i+1] == t.quote {
			doubled = true
			continue
		}
		t.line += bytes.Count(t.data[from:i], []byte{'\n'})
		c = cell{from, i}
		if doubled {
			c.to = ^i
		}
		if i-from > maxField {
			return c, 0, unclosed(opened)
		}
		return c, i + 1, nil
	}
}

func unclosed(line int) error {
	return &textError{line, fmt.Sprintf("a quotation mark is opened and not closed within %d bytes", maxField)}
}

// tooLong finds a field that is too long among those of a part of a row, which
// in most rows is itself shorter than that.
func (t *textReader) tooLong(cells []cell, last int) bool {
	return last > maxField || slices.ContainsFunc(cells, func(c cell) bool { return c.to-c.from > maxField })
}
