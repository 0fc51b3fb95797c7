package sheet

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/record"
)

const (
	longestLine = 16 << 20 // bytes of one line; a longer one is not a row of a table
	longestCell = 1 << 20  // bytes of a row whose quoted cell may still run on
	maxLines    = 64       // lines that one quoted cell may run over
	maxTries    = 100      // cells of a row that may break the rules for quotation marks; those behind are read as they stand
	slabSize    = 256      // cells made at a time
)

// splitter cuts decoded text into rows. buf[pos:end] waits to be read.
type splitter struct {
	src      io.Reader
	shape    shape
	buf      []byte
	pos, end int
	srcErr   error  // what ended the source, io.EOF included
	line     int    // number of the line that begins at pos, from 1
	text     string // buf as a string from textAt on, from which cells are cut
	textAt   int    // may be below 0, when buf has moved on
	slab     []record.Cell
	fields   []string
	above    int          // lines above the headings that were read
	headed   bool         // the headings were read
	begun    bool         // a line of the common width was read
	spare    []string     // the fields of the last row with quotation marks, to be filled anew
	plain    map[int]bool // columns said to hold marks in cells that begin with none
	report   func(rule string, level record.Level, row, column int, value, reason string)
}

// fill reads more text behind end. It gives false when there is no more.
func (s *splitter) fill() bool {
	if s.srcErr != nil {
		return false
	}
	if s.pos > 0 && s.end-s.pos < len(s.buf)/2 {
		copy(s.buf, s.buf[s.pos:s.end])
		s.end -= s.pos
		s.textAt -= s.pos
		s.pos = 0
	}
	if s.end == len(s.buf) {
		s.buf = append(s.buf, make([]byte, max(sniffSize, len(s.buf)))...)
	}
	for s.srcErr == nil {
		n, err := s.src.Read(s.buf[s.end:])
		s.end += n
		s.srcErr = err
		if n > 0 {
			return true
		}
	}
	return false
}

var errLongLine = errors.New("line too long")

// lineEnd finds the end of the line that begins `from` bytes behind pos, as an
// offset from pos: the index of the terminator, or of the end of the text.
// terminated says which.
func (s *splitter) lineEnd(from int) (end int, terminated bool, err error) {
	for seen := from; ; {
		if i := bytes.IndexByte(s.buf[s.pos+seen:s.end], s.shape.terminator); i >= 0 {
			return seen + i, true, nil
		}
		seen = s.end - s.pos
		if seen > from+longestLine {
			return 0, false, errLongLine
		}
		if !s.fill() {
			return s.end - s.pos, false, nil
		}
	}
}

// next returns the next row, or io.EOF behind the last. A row with no cells is a
// blank line.
func (s *splitter) next() (record.Row, error) {
	end, terminated, err := s.lineEnd(0)
	if err != nil {
		return record.Row{}, err
	}
	if !terminated && s.srcErr != nil && s.srcErr != io.EOF {
		return record.Row{}, s.srcErr
	}
	if !terminated && end == 0 {
		return record.Row{}, io.EOF
	}
	number := s.line
	line := s.trim(s.buf[s.pos : s.pos+end])
	if !terminated && len(line) == 1 && line[0] == 0x1a {
		return record.Row{}, io.EOF // the end mark of DOS
	}
	if s.shape.separator != "" && bytes.IndexByte(line, '"') >= 0 && !s.isSentence(line) {
		return s.quotedRow(end)
	}
	s.split(s.cut(0, len(line)))
	s.advance(end, 1)
	return s.row(number), nil
}

// cut returns the bytes from offset from to offset to behind pos as a string.
// All that waits in the buffer becomes one string, so that many lines take one
// allocation; what is kept of a line keeps its neighbours.
func (s *splitter) cut(from, to int) string {
	from, to = s.pos+from, s.pos+to
	if from < s.textAt || to > s.textAt+len(s.text) {
		s.text, s.textAt = string(s.buf[from:s.end]), from
	}
	return s.text[from-s.textAt : to-s.textAt]
}

// trim takes the carriage return off a line that ended in CR LF.
func (s *splitter) trim(line []byte) []byte {
	if s.shape.terminator == '\n' && len(line) > 0 && line[len(line)-1] == '\r' {
		return line[:len(line)-1]
	}
	return line
}

// advance moves behind the line terminator at offset end.
func (s *splitter) advance(end, lines int) {
	s.pos = min(s.pos+end+1, s.end)
	s.line += lines
}

// split cuts a line that holds no quotation mark. The cells share its memory.
func (s *splitter) split(line string) {
	s.fields = s.fields[:0]
	switch {
	case line == "":
		return
	case s.above < s.shape.titles:
		if line = strings.TrimSpace(line); line != "" {
			s.above++
		}
		s.fields = append(s.fields, line)
		return
	case s.shape.blanks:
		s.fields = append(s.fields, blankFields(line)...)
		return
	case s.shape.gaps != nil:
		s.fields = append(s.fields, alignedFields(line, s.shape.gaps)...)
		return
	case s.isSentence([]byte(line)):
		s.fields = append(s.fields, line)
		return
	}
	for more := true; more; {
		var field string
		field, line, more = strings.Cut(line, s.shape.separator)
		s.fields = append(s.fields, field)
	}
}

// isSentence reports whether a line above the first of the common width is text in
// which separators part no cells: it begins with #, as comments do in published files,
// or with several words, and a space follows every separator.
//
//	# Frogs of Marrow Creek, 2024; lengths in mm, masses in g
//	Frogs of Alder Pond, lengths in mm, masses in g
//	id,date,svl
func (s *splitter) isSentence(line []byte) bool {
	if s.begun || len(line) < 2 || s.shape.width < 2 {
		return false
	}
	parts := bytes.Split(line, []byte(s.shape.separator))
	if line[0] == '#' {
		return len(parts) != s.shape.width
	}
	if len(parts) < 2 || len(parts) >= s.shape.width || bytes.IndexByte(line, '"') >= 0 || len(bytes.Fields(parts[0])) < wordsOfSentence {
		return false
	}
	return !slices.ContainsFunc(parts[1:], func(p []byte) bool { return len(p) < 2 || p[0] != ' ' || len(bytes.TrimSpace(p)) == 0 })
}

// wordsOfSentence is the number of words from which the beginning of a line is no
// label with a value beside it ("Field site, Alder Pond").
const wordsOfSentence = 3

// row makes cells of the fields.
func (s *splitter) row(number int) record.Row {
	n := len(s.fields)
	if n == 0 {
		return record.Row{Number: number}
	}
	s.begun = s.begun || n == s.shape.width
	if s.shape.rowNames && !s.headed && !slices.Equal(s.fields, blankLine) {
		s.headed = true
		return record.Row{Number: number, Cells: moveRight(s.cells(number))}
	}
	return record.Row{Number: number, Cells: s.cells(number)}
}

var blankLine = []string{""}

// cells makes cells of the fields.
func (s *splitter) cells(number int) []record.Cell {
	n := len(s.fields)
	if len(s.slab) < n {
		s.slab = make([]record.Cell, max(n, slabSize))
	}
	cells := s.slab[:n:n]
	s.slab = s.slab[n:]
	for i, f := range s.fields {
		c := &cells[i]
		c.Row, c.Column, c.Text = number, i+1, f
		if f != "" {
			c.Kind = record.Text
		}
	}
	return cells
}

// unended reports, once all was read, whether the text ends without the end of its
// last line.
func (s *splitter) unended() bool {
	return s.end > 0 && s.buf[s.end-1] != s.shape.terminator
}

// place returns line and cell of the end of the text read so far, for an error
// in the middle of a line.
func (s *splitter) place() (row, column int) {
	rest := s.buf[s.pos:s.end]
	row = s.line + bytes.Count(rest, []byte{s.shape.terminator})
	line := rest[bytes.LastIndexByte(rest, s.shape.terminator)+1:]
	s.split(string(line))
	return row, max(len(s.fields), 1)
}
