package sheet

import (
	"bytes"
	"strings"

	"spadefoot/pipeline/record"
)

// The rules for quotation marks. RFC 4180 holds where it can: a cell that
// begins with a mark ends at the next mark before a separator or the end of a
// line, two marks stand for one, separators and line ends in between belong to
// the cell. People also write blanks around the marks, inches (5" pipe), and
// marks around half a cell ("Big" frog). A mark in the middle of a cell is kept
// as written, and so is one that is all of its cell: a ditto mark. Whether the cell goes on behind it is decided by the marks in the
// rest of the line: an odd number means that the cell is still open.

// attempt is one reading of a row that holds quotation marks.
type attempt struct {
	text   string // the first line, whose memory its cells share
	fields []string
	end    int   // offset from pos of the end of the row's last line
	lines  int   // lines of the row
	stray  []int // columns whose cell begins with a mark and has a stray one
	plain  []int // columns whose cell begins with none and has one: inches, seconds of arc
	open   []int // columns whose mark is never closed
	tries  int   // cells that had to be read twice or guessed at
}

// quotedRow reads a row whose first line, which ends at offset end, holds a
// quotation mark.
func (s *splitter) quotedRow(end int) (record.Row, error) {
	number := s.line
	a, err := s.attempt(end, true)
	if err != nil {
		return record.Row{}, err
	}
	if a.lines > 1 && s.shape.width > 1 && len(a.fields) != s.shape.width {
		// The marks swallowed lines and the width is wrong: read the first line alone.
		b, err := s.attempt(end, false)
		if err != nil {
			return record.Row{}, err
		}
		if len(b.fields) == s.shape.width {
			a = b
		}
	}
	for _, c := range a.open {
		s.report(ruleQuoteOpen, record.Error, number, c, a.fields[c-1],
			"the quotation mark that opens this cell is not closed as the rows below require; it was read as part of the text")
	}
	for _, c := range a.stray {
		s.report(ruleQuoteStray, record.Warning, number, c, a.fields[c-1],
			"there is a quotation mark in the middle of the cell; it was kept as written")
	}
	for _, c := range a.plain {
		if s.plain[c] {
			continue
		}
		s.plain[c] = true
		s.report(ruleQuoteStray, record.Note, number, c, a.fields[c-1],
			"there is a quotation mark in a cell that does not begin with one; it was kept as written, here and further down the column")
	}
	s.fields = append(s.fields[:0], a.fields...)
	s.spare = a.fields
	s.advance(a.end, a.lines)
	return s.row(number), nil
}

// attempt reads one row. Without across, no cell runs over the end of a line.
func (s *splitter) attempt(end int, across bool) (*attempt, error) {
	a := &attempt{text: s.cut(0, end), fields: s.spare[:0], end: end, lines: 1}
	s.spare = nil
	sep := []byte(s.shape.separator)
	for i := 0; ; {
		field, next, kind, err := s.quotedField(a, i, across)
		if err != nil {
			return nil, err
		}
		limit := a.end
		if kind == unquoted || kind == unclosed {
			line := s.trim(s.buf[s.pos : s.pos+limit])
			next = len(line)
			if k := bytes.Index(line[i:], sep); k >= 0 {
				next = i + k
			}
			field = s.piece(a, i, next)
		}
		a.fields = append(a.fields, field)
		column := len(a.fields)
		switch {
		case kind == unclosed:
			a.open = append(a.open, column)
		case kind == strayInside:
			a.stray = append(a.stray, column)
		case kind == unquoted && strings.Contains(field, `"`) && strings.TrimSpace(field) != `"`:
			if strings.HasPrefix(strings.TrimSpace(field), `"`) {
				a.stray = append(a.stray, column)
			} else {
				a.plain = append(a.plain, column)
			}
		}
		if next >= len(s.trim(s.buf[s.pos:s.pos+limit])) {
			return a, nil
		}
		i = next + len(sep)
	}
}

// piece returns the text between two offsets.
func (s *splitter) piece(a *attempt, from, to int) string {
	if to <= len(a.text) {
		return a.text[from:to]
	}
	return s.cut(from, to)
}

type fieldKind uint8

const (
	unquoted    fieldKind = iota
	quoted                // closed as it should be
	strayInside           // closed, with a stray mark inside
	unclosed
)

// quotedField reads a cell that begins at offset i with a quotation mark, and
// moves the end of the attempt on where the cell runs over lines. next is the
// offset of the separator or line end behind it. Any other cell, and one whose
// mark does not close, is left to the caller.
func (s *splitter) quotedField(a *attempt, i int, across bool) (field string, next int, kind fieldKind, err error) {
	end, lines := a.end, a.lines
	data := s.buf[s.pos:]
	if a.tries > maxTries {
		return "", 0, unquoted, nil
	}
	from := i + skipBlank(data[i:end], s.shape.separator)
	if from >= end || data[from] != '"' {
		return "", 0, unquoted, nil
	}
	from++
	if !s.shape.strict && isDitto(s.trim(data[from:end]), s.shape.separator) {
		return "", 0, unquoted, nil
	}
	kind = quoted
	defer func() {
		if kind != quoted {
			a.tries++
		}
	}()
	for at := from; ; {
		k := bytes.IndexByte(data[at:end], '"')
		if k < 0 {
			more, ok, err := s.nextLine(end, lines, across)
			if err != nil || !ok {
				return "", 0, unclosed, err
			}
			data = s.buf[s.pos:]
			at, end, lines = end, more, lines+1
			continue
		}
		q := at + k
		rest := s.trim(data[q+1 : end])
		switch {
		case lines > a.lines && s.opens(data[:end], q):
			return "", 0, unclosed, nil
		case bytes.HasPrefix(rest, []byte{'"'}):
			at = q + 2
			continue
		case s.closes(rest):
			a.end, a.lines = end, lines
			field = strings.ReplaceAll(s.piece(a, from, q), `""`, `"`)
			return field, q + 1 + skipBlank(rest, s.shape.separator), kind, nil
		case bytes.Count(rest, []byte{'"'})%2 == 0 && lines == a.lines:
			return "", 0, unquoted, nil
		case s.shape.strict && lines > a.lines, bytes.Count(rest, []byte{'"'})%2 == 0:
			return "", 0, unclosed, nil
		}
		kind, at = strayInside, q+1
	}
}

// nextLine returns the end of the line behind the one that ends at offset end,
// if a cell may run on into it.
func (s *splitter) nextLine(end, lines int, across bool) (int, bool, error) {
	if !across || lines >= maxLines || end > longestCell || s.pos+end >= s.end && !s.fill() {
		return 0, false, nil
	}
	more, terminated, err := s.lineEnd(end + 1)
	if err != nil || !terminated && more <= end+1 {
		return 0, false, err
	}
	return more, true, nil
}

// closes reports whether what follows a quotation mark ends the cell.
func (s *splitter) closes(rest []byte) bool {
	rest = rest[skipBlank(rest, s.shape.separator):]
	return len(rest) == 0 || bytes.HasPrefix(rest, []byte(s.shape.separator))
}

// opens reports whether the mark at q looks like the first of a cell: behind a
// separator or at the beginning of a line, and not one of a pair.
func (s *splitter) opens(data []byte, q int) bool {
	sep := []byte(s.shape.separator)
	before := bytes.TrimRight(data[:q], " ")
	behindSeparator := bytes.HasSuffix(before, sep)
	if !behindSeparator && data[q-1] != s.shape.terminator {
		return false
	}
	after := s.trim(data[q+1:])
	if bytes.HasPrefix(after, []byte{'"'}) { // an empty cell, or a doubled mark
		return !s.shape.strict && behindSeparator && bytes.HasPrefix(after[1:], sep)
	}
	return !s.closes(after)
}

// skipBlank counts the blanks at the beginning of b that are not separators.
func skipBlank(b []byte, separator string) int {
	n := 0
	for n < len(b) && (b[n] == ' ' || b[n] == '\t') && !strings.HasPrefix(separator, string(b[n])) {
		n++
	}
	return n
}
