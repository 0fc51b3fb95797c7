package darwincore

import (
	"bufio"
	"encoding/binary"
	"io"
	"os"
	"slices"

	"spadefoot/pipeline/record/lines"
	"spadefoot/pipeline/record/sorting"
)

// spilledRows keeps rows in a temporary file until it is known which columns hold
// something, so that memory does not grow with the rows. It is used by one goroutine.
type spilledRows struct {
	file *os.File
	out  *bufio.Writer
	rows int
	line []byte // of the row that is added

	columns []string       // in the order in which they were first seen
	index   map[string]int // column of a term
}

func newSpilledRows(dir string) (*spilledRows, error) {
	f, err := os.CreateTemp(dir, "rows-*.tmp")
	if err != nil {
		return nil, err
	}
	return &spilledRows{file: f, out: bufio.NewWriterSize(f, 1<<16), index: map[string]int{}}, nil
}

// column returns the number of a term.
func (s *spilledRows) column(term string) int {
	i, ok := s.index[term]
	if !ok {
		i = len(s.columns)
		s.index[term] = i
		s.columns = append(s.columns, term)
	}
	return i
}

// add appends a row.
func (s *spilledRows) add(row Row) error {
	s.rows++
	s.line = s.encode(s.line[:0], row)
	_, err := s.out.Write(s.line)
	return err
}

// encode appends a row as the file has it: the length of the row, then column,
// length and text of each field. The lowest bit of the length of a text says
// that it is in quotes in CSV.
func (s *spilledRows) encode(b []byte, row Row) []byte {
	start := len(b)
	b = append(b, 0, 0, 0, 0)
	for _, f := range row {
		text := clean(f.Text)
		size := uint64(len(text)) << 1
		if lines.Quoted(text) {
			size |= 1
		}
		b = binary.AppendUvarint(b, uint64(s.column(f.Term)))
		b = binary.AppendUvarint(b, size)
		b = append(b, text...)
	}
	binary.LittleEndian.PutUint32(b[start:], uint32(len(b)-start-4))
	return b
}

// field is one text of an encoded row.
type field struct {
	text   []byte
	quoted bool
}

// writeCSV writes the header and every row.
func (s *spilledRows) writeCSV(w io.Writer, header []string) error {
	line := make([]byte, 0, 1<<12)
	for i, name := range header {
		line = appendField(line, i, field{[]byte(name), lines.Quoted(name)})
	}
	if _, err := w.Write(append(line, '\n')); err != nil {
		return err
	}
	place := make([]int, len(s.columns))
	for i, c := range s.columns {
		place[i] = slices.Index(header, c)
	}
	return s.walk(place, len(header), func(cells []field) error {
		line = line[:0]
		for i, c := range cells {
			line = appendField(line, i, c)
		}
		_, err := w.Write(append(line, '\n'))
		return err
	})
}

// appendField appends the field of a column to a line of CSV.
func appendField(line []byte, column int, f field) []byte {
	if column > 0 {
		line = append(line, ',')
	}
	if !f.quoted {
		return append(line, f.text...)
	}
	return lines.AppendQuoted(line, f.text)
}

// walk calls use with every row in the order in which they were added, each field at
// the place of its column. The fields are valid until the next row.
func (s *spilledRows) walk(place []int, columns int, use func([]field) error) error {
	if err := s.out.Flush(); err != nil {
		return err
	}
	if _, err := s.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	in := bufio.NewReaderSize(s.file, 1<<16)
	cells := make([]field, columns)
	var size [4]byte
	var b []byte
	for range s.rows {
		if _, err := io.ReadFull(in, size[:]); err != nil {
			return err
		}
		b = slices.Grow(b[:0], int(binary.LittleEndian.Uint32(size[:])))[:binary.LittleEndian.Uint32(size[:])]
		if _, err := io.ReadFull(in, b); err != nil {
			return err
		}
		clear(cells)
		for rest := b; len(rest) > 0; {
			column, n := binary.Uvarint(rest)
			size, m := binary.Uvarint(rest[n:])
			from, to := n+m, n+m+int(size>>1)
			cells[place[column]] = field{rest[from:to], size&1 == 1}
			rest = rest[to:]
		}
		if err := use(cells); err != nil {
			return err
		}
	}
	return nil
}

// each calls use with every row in the order in which they were added. The row is
// valid until the next one, its texts are for ever.
func (s *spilledRows) each(places *places, use func(placedRow) error) error {
	columns := slices.Clone(s.columns)
	sorting.Func(columns, compareColumns)
	place, at := make([]int, len(columns)), make([]*place, len(columns))
	for i, term := range columns {
		place[s.index[term]], at[i] = i, places.of(term)
	}
	var row placedRow
	return s.walk(place, len(columns), func(cells []field) error {
		row = row[:0]
		for i, c := range cells {
			if len(c.text) > 0 {
				row = append(row, placedField{Field{columns[i], string(c.text)}, at[i]})
			}
		}
		return use(row)
	})
}

// close drops the temporary file.
func (s *spilledRows) close() {
	if s != nil && s.file != nil {
		s.file.Close()
		os.Remove(s.file.Name())
		s.file = nil
	}
}
