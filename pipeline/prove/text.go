package prove

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// maxField bounds one field, so that a quotation mark that is never closed
// does not draw a whole file into memory.
const maxField = 8 << 20

// textError is a fault in the shape of a text file.
type textError struct {
	line int
	why  string
}

func (e *textError) Error() string { return fmt.Sprintf("line %d: %s", e.line, e.why) }

// textReader reads delimited text row by row, as a metafile declares it. Lines
// may end in \n, \r\n or \r whatever is declared; which of them were met is
// kept for the judgement.
type textReader struct {
	in        *bufio.Reader
	separator string
	quote     byte // 0 for none
	line      int  // of the next character, from 1
	ends      [3]int
	stray     int // line of the first quotation mark within an unquoted field, 0 for none
	buf       []byte
	cuts      []int
}

// The line ends that can be met.
const (
	endLF = iota
	endCRLF
	endCR
)

var endNames = [...]string{`\n`, `\r\n`, `\r`}

func newTextReader(in *bufio.Reader, e *entity) *textReader {
	t := &textReader{in: in, separator: e.separator, line: 1}
	if e.quote != "" {
		t.quote = e.quote[0]
	}
	return t
}

// next gives the fields of a row and the line it begins on. A blank line is a
// row of one empty field.
func (t *textReader) next() (fields []string, line int, err error) {
	t.buf, t.cuts = t.buf[:0], t.cuts[:0]
	line = t.line
	if _, err := t.in.Peek(1); err != nil {
		return nil, line, err
	}
	for {
		end, err := t.field()
		if err != nil {
			return nil, line, err
		}
		t.cuts = append(t.cuts, len(t.buf))
		if end {
			break
		}
	}
	all := string(t.buf)
	fields = make([]string, len(t.cuts))
	from := 0
	for i, to := range t.cuts {
		fields[i] = all[from:to]
		from = to
	}
	return fields, line, nil
}

// field reads one field into buf and reports whether the row ends with it.
func (t *textReader) field() (end bool, err error) {
	start := len(t.buf)
	if t.quote != 0 {
		if b, err := t.in.Peek(1); err == nil && b[0] == t.quote {
			t.in.Discard(1)
			return t.quoted(start)
		}
	}
	for {
		t.plain(t.separator[0], '\r')
		b, err := t.in.ReadByte()
		if errors.Is(err, io.EOF) {
			return true, nil
		}
		if err != nil {
			return true, err
		}
		if b == t.quote && b != 0 && t.stray == 0 {
			t.stray = t.line
		}
		if done, end, err := t.delimiter(b); done || err != nil {
			return end, err
		}
		if t.buf = append(t.buf, b); len(t.buf)-start > maxField {
			return true, &textError{t.line, fmt.Sprintf("a field is longer than %d bytes", maxField)}
		}
	}
}

// plain takes what is at hand up to a byte that may mean something: one of two
// that are given, the end of a line, or a quotation mark.
func (t *textReader) plain(a, b byte) {
	at, _ := t.in.Peek(t.in.Buffered()) // what is there can be looked at
	n := 0
	for n < len(at) {
		if c := at[n]; c == a || c == b || c == '\n' || c == t.quote {
			break
		}
		n++
	}
	t.buf = append(t.buf, at[:n]...)
	t.in.Discard(n)
}

// delimiter takes a separator or a line end that begins with b.
func (t *textReader) delimiter(b byte) (done, end bool, err error) {
	switch {
	case b == t.separator[0] && t.follows(t.separator[1:]):
		return true, false, nil
	case b == '\n':
		t.ends[endLF]++
		t.line++
		return true, true, nil
	case b == '\r':
		kind := endCR
		if t.follows("\n") {
			kind = endCRLF
		}
		t.ends[kind]++
		t.line++
		return true, true, nil
	}
	return false, false, nil
}

// follows takes s from the input if it comes next.
func (t *textReader) follows(s string) bool {
	if s == "" {
		return true
	}
	b, err := t.in.Peek(len(s))
	if err != nil || string(b) != s {
		return false
	}
	t.in.Discard(len(s))
	return true
}

// quoted reads on after an opening quotation mark. Two marks stand for one.
func (t *textReader) quoted(start int) (end bool, err error) {
	opened := t.line
	for {
		t.plain(t.quote, t.quote)
		b, err := t.in.ReadByte()
		if errors.Is(err, io.EOF) {
			return true, &textError{opened, "a quotation mark is opened and never closed"}
		}
		if err != nil {
			return true, err
		}
		if b == '\n' {
			t.line++
		}
		if b == t.quote {
			if t.follows(string(t.quote)) {
				t.buf = append(t.buf, b)
				continue
			}
			return t.closed()
		}
		if t.buf = append(t.buf, b); len(t.buf)-start > maxField {
			return true, &textError{opened, fmt.Sprintf("a quotation mark is opened and not closed within %d bytes", maxField)}
		}
	}
}

// closed expects a separator or a line end after a closing quotation mark.
func (t *textReader) closed() (end bool, err error) {
	b, err := t.in.ReadByte()
	if errors.Is(err, io.EOF) {
		return true, nil
	}
	if err != nil {
		return true, err
	}
	done, end, err := t.delimiter(b)
	if !done && err == nil {
		return true, &textError{t.line, "after a closing quotation mark comes neither the end of the field nor of the line"}
	}
	return end, err
}

// ended names the line ends that were met, the most frequent first.
func (t *textReader) ended() []string {
	var out []string
	for _, k := range []int{endLF, endCRLF, endCR} {
		if t.ends[k] > 0 {
			out = append(out, endNames[k])
		}
	}
	return out
}

// visible writes a line end or separator so that it can be read.
func visible(s string) string {
	return strings.NewReplacer("\t", `\t`, "\n", `\n`, "\r", `\r`).Replace(s)
}
