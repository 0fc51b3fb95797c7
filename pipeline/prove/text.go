package prove

import (
	"bytes"
	"fmt"
	"io"
	"strings"
)

// maxField bounds one field, so that a quotation mark that is never closed
// does not draw a whole file into memory.
const maxField = 8 << 20

// blockSize is how much is read at a time: it fits the cache of a processor,
// and its rows are many enough that what is done once per block costs nothing.
const blockSize = 256 << 10

// slack is how many bytes are allocated behind the text, so that rows can be
// looked at eight bytes at a time up to their end.
const slack = 8

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
	source io.Reader
	failed error  // what the source ended with; io.EOF is its proper end
	data   []byte // what is at hand of the text, with slack behind it
	at     int    // where the next row begins in it
	begun  int    // where the row given last began
	cells  []cell // of the row given last

	separator byte
	more      string // of a separator that is longer than a byte
	quote     byte   // 0 for none
	lift      uint64 // see prepare
	every     uint64

	line  int    // of the next character, from 1
	ends  [3]int // line ends that were met
	stray int    // line of the first quotation mark within an unquoted field, 0 for none
	spare []byte // fields whose doubled quotation marks were taken apart
}

// cell is where a field is in the data. If to is negative, its complement
// is meant and quotation marks within are doubled.
type cell struct{ from, to int }

// The line ends that can be met.
const (
	endLF = iota
	endCRLF
	endCR
)

var endNames = [...]string{`\n`, `\r\n`, `\r`}

func newTextReader(source io.Reader, e *entity) *textReader {
	t := textReaderOf(make([]byte, 0, slack), e)
	t.source, t.failed = source, nil
	return t
}

// textReaderOf reads what is at hand in data, which has slack behind it, and
// nothing more.
func textReaderOf(data []byte, e *entity) *textReader {
	t := &textReader{data: data, failed: io.EOF, separator: e.separator[0], more: e.separator[1:], line: 1}
	if e.quote != "" {
		t.quote = e.quote[0]
	}
	t.prepare()
	return t
}

// again lets the reader read other data, from line 1.
func (t *textReader) again(data []byte) {
	t.data, t.at, t.line, t.ends, t.stray, t.failed = data, 0, 1, [3]int{}, 0, io.EOF
}

// next finds the fields of a row and returns the line that it begins on; cell
// gives them until the next call. A blank line is a row of one empty field.
func (t *textReader) next() (line int, err error) {
	for {
		if t.at == len(t.data) && t.failed != nil {
			return t.line, t.failed
		}
		line = t.line
		end, err := t.row()
		if err == nil {
			t.begun, t.at = t.at, end
			return line, nil
		}
		if err != errShort {
			return line, err
		}
		if t.failed != nil { // what is left of a text that broke off
			return line, t.failed
		}
		t.line = line
		t.fill()
	}
}

// fill reads more of the text behind what is left of it.
func (t *textReader) fill() {
	left := t.data[t.at:]
	if free := cap(t.data) - slack - len(left); free < blockSize/2 {
		larger := make([]byte, len(left), max(2*len(left), blockSize)+slack)
		copy(larger, left)
		t.data = larger
	} else {
		t.data = t.data[:copy(t.data[:len(left)], left)]
	}
	t.at = 0
	n, err := readSome(t.source, t.data[len(t.data):cap(t.data)-slack])
	t.data = t.data[:len(t.data)+n]
	t.failed = err
}

// readSome reads at least a byte, unless it gives an error.
func readSome(r io.Reader, into []byte) (int, error) {
	for range 100 {
		if n, err := r.Read(into); n > 0 || err != nil {
			return n, err
		}
	}
	return 0, io.ErrNoProgress
}

// cell returns a field of the row, until the next row is read.
func (t *textReader) cell(i int) []byte {
	c := t.cells[i]
	if c.to >= 0 {
		return t.data[c.from:c.to]
	}
	start := len(t.spare)
	for rest := t.data[c.from:^c.to]; ; {
		n := bytes.IndexByte(rest, t.quote)
		if n < 0 {
			t.spare = append(t.spare, rest...)
			return t.spare[start:]
		}
		t.spare, rest = append(t.spare, rest[:n+1]...), rest[n+2:]
	}
}

// texts returns the fields of the row as strings to keep.
func (t *textReader) texts() []string {
	all := string(t.data[t.begun:t.at])
	out := make([]string, len(t.cells))
	for i, c := range t.cells {
		if c.to < 0 {
			out[i] = string(t.cell(i))
			continue
		}
		out[i] = all[c.from-t.begun : c.to-t.begun]
	}
	return out
}

// ended names the line ends that were met, in the order of their kinds.
func ended(ends [3]int) []string {
	var out []string
	for k, n := range ends {
		if n > 0 {
			out = append(out, endNames[k])
		}
	}
	return out
}

// visible writes a line end or separator so that it can be read.
func visible(s string) string {
	return strings.NewReplacer("\t", `\t`, "\n", `\n`, "\r", `\r`).Replace(s)
}
