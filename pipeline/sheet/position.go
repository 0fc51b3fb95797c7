package sheet

import (
	"bufio"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"spadefoot/pipeline/record"
)

// Span is where a cell is in a text file. Lines and columns count from 1,
// columns in characters of the decoded text; EndColumn is the one behind the
// last character. Quotation marks round the cell are part of it.
type Span struct{ Line, Column, EndLine, EndColumn int }

// Spans finds cells of a text file. A row's number is the line that it begins
// on, so only the columns must be looked for. A cell that cannot be found
// again, and every cell of a workbook, has no span. Any error is an *Error.
func Spans(name, path string, o Options, want []record.Address) (map[record.Address]Span, error) {
	f, size, err := open(name, path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	k, err := sniff(name, f, size)
	if err != nil || k != textKind {
		return nil, err
	}
	t := &textReader{name: name, found: func(record.Finding) {}}
	if err := t.begin(io.NewSectionReader(f, 0, size), o); err != nil {
		return nil, err
	}
	asked := map[[2]int]bool{}
	for _, a := range want {
		asked[[2]int{a.Row, a.Column}], asked[[2]int{a.Row}] = true, true
	}
	rows, err := t.wantedRows(asked)
	if err != nil {
		return nil, err
	}
	// The splitter keeps no offsets; the lines are read once more beside it.
	d, err := newDecoder(io.NewSectionReader(f, 0, size), o.Encoding)
	if err != nil {
		return nil, err
	}
	return locate(name, bufio.NewReader(d), rows, t.splitter.shape, asked), nil
}

// wanted is a row with the lines that it takes up.
type wanted struct {
	row   record.Row
	lines int
}

// wantedRows reads the rows of cells that are asked for, by row and column, with column
// 0 for the row. Their texts are copied: the text that is read would stay with them.
func (t *textReader) wantedRows(asked map[[2]int]bool) ([]wanted, error) {
	var out []wanted
	for {
		from := t.splitter.line
		row, err := t.splitter.next()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, t.failure(err)
		}
		if asked[[2]int{row.Number}] && len(row.Cells) > 0 {
			row.Cells = slices.Clone(row.Cells)
			for i := range row.Cells {
				row.Cells[i].Text = strings.Clone(row.Cells[i].Text)
			}
			out = append(out, wanted{row, t.splitter.line - from})
		}
	}
}

// locate walks the lines and finds the cells of the rows, which are in order, that are
// asked for.
func locate(name string, r *bufio.Reader, rows []wanted, s shape, asked map[[2]int]bool) map[record.Address]Span {
	out := map[record.Address]Span{}
	number := 0
	for _, w := range rows {
		var raw strings.Builder
		for number < w.row.Number+w.lines-1 {
			line, err := r.ReadString(s.terminator)
			number++
			if number >= w.row.Number {
				raw.WriteString(line)
			}
			if err != nil {
				break // the last line has no terminator
			}
		}
		spansOf(name, w.row, raw.String(), s, asked, out)
	}
	return out
}

// spansOf finds the cells of one row in its text, from left to right, and
// stops at the first that is not where it should be.
func spansOf(name string, row record.Row, raw string, s shape, asked map[[2]int]bool, out map[record.Address]Span) {
	at := 0
	if row.Number == 1 {
		at = len(raw) - len(strings.TrimPrefix(raw, "\ufeff"))
	}
	for _, c := range row.Cells {
		if s.rowNames && c.Kind == record.Blank && at == 0 {
			continue // no heading is over the names of the rows
		}
		if s.separator == "" {
			i := strings.Index(raw[at:], c.Text)
			if i < 0 {
				return
			}
			at += i
		}
		end, ok := cellEnd(raw, at, c.Text, s)
		if !ok {
			return
		}
		if asked[[2]int{row.Number, c.Column}] {
			from, to := lineColumn(raw, at, row.Number, s.terminator), lineColumn(raw, end, row.Number, s.terminator)
			out[record.Address{File: name, Row: row.Number, Column: c.Column}] = Span{from[0], from[1], to[0], to[1]}
		}
		at = min(end+len(s.separator), len(raw))
	}
}

// cellEnd returns the offset behind the cell that begins at offset at: its text
// as it is, or within quotation marks.
func cellEnd(raw string, at int, text string, s shape) (int, bool) {
	ends := func(i int) bool {
		rest := raw[i:]
		return rest == "" || rest[0] == s.terminator || strings.HasPrefix(rest, "\r\n") || strings.HasPrefix(rest, s.separator)
	}
	if end := at + len(text); strings.HasPrefix(raw[at:], text) && ends(end) {
		return end, true
	}
	from := at + skipBlank([]byte(raw[at:]), s.separator)
	if from >= len(raw) || raw[from] != '"' {
		return 0, false
	}
	for q := from + 1; q < len(raw); q++ {
		if raw[q] != '"' || q-from-1 < len(text) {
			continue
		}
		end := q + 1
		end += skipBlank([]byte(raw[end:]), s.separator)
		if ends(end) && strings.ReplaceAll(raw[from+1:q], `""`, `"`) == text {
			return end, true
		}
	}
	return 0, false
}

// lineColumn turns an offset into line and column, the first line of raw being
// number.
func lineColumn(raw string, offset, number int, terminator byte) [2]int {
	before := raw[:offset]
	start := strings.LastIndexByte(before, terminator) + 1
	return [2]int{number + strings.Count(before, string(terminator)), 1 + utf8.RuneCountInString(strings.TrimPrefix(before[start:], "\ufeff"))}
}
