package darwincore

import (
	"bufio"
	"encoding/binary"
	"encoding/csv"
	"io"
	"os"
	"slices"
	"strings"
)

// spool keeps rows in a temporary file until it is known which columns hold
// something, so that memory does not grow with the rows.
type spool struct {
	file    *os.File
	out     *bufio.Writer
	columns []string       // in the order in which they were first seen
	index   map[string]int // column of a term
	rows    int
	scratch []byte
}

func newSpool(dir string) (*spool, error) {
	f, err := os.CreateTemp(dir, "rows-*.tmp")
	if err != nil {
		return nil, err
	}
	return &spool{file: f, out: bufio.NewWriterSize(f, 1<<16), index: map[string]int{}}, nil
}

// add appends a row: the count of its fields, then column, length and text of
// each.
func (s *spool) add(row Row) error {
	b := binary.AppendUvarint(s.scratch[:0], uint64(len(row)))
	for _, f := range row {
		i, ok := s.index[f.Term]
		if !ok {
			i = len(s.columns)
			s.index[f.Term] = i
			s.columns = append(s.columns, f.Term)
		}
		text := clean(f.Text)
		b = binary.AppendUvarint(b, uint64(i))
		b = binary.AppendUvarint(b, uint64(len(text)))
		b = append(b, text...)
	}
	s.scratch = b
	s.rows++
	_, err := s.out.Write(b)
	return err
}

// clean replaces what no text file may hold: bytes that are no UTF-8, and NUL.
func clean(s string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", "\uFFFD")
}

// header gives the columns in the order in which they are published.
func (s *spool) header() []string {
	h := slices.Clone(s.columns)
	slices.SortFunc(h, compareColumns)
	return h
}

// writeCSV writes the header and every row.
func (s *spool) writeCSV(w io.Writer, header []string) error {
	if err := s.out.Flush(); err != nil {
		return err
	}
	if _, err := s.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	place := make([]int, len(s.columns))
	for i, c := range s.columns {
		place[i] = slices.Index(header, c)
	}
	in := bufio.NewReaderSize(s.file, 1<<16)
	out := csv.NewWriter(w)
	if err := out.Write(header); err != nil {
		return err
	}
	cells := make([]string, len(header))
	for range s.rows {
		clear(cells)
		if err := readRow(in, cells, place); err != nil {
			return err
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func readRow(in *bufio.Reader, cells []string, place []int) error {
	n, err := binary.ReadUvarint(in)
	if err != nil {
		return err
	}
	for range n {
		i, err := binary.ReadUvarint(in)
		if err != nil {
			return err
		}
		size, err := binary.ReadUvarint(in)
		if err != nil {
			return err
		}
		text := make([]byte, size)
		if _, err := io.ReadFull(in, text); err != nil {
			return err
		}
		cells[place[i]] = string(text)
	}
	return nil
}

// each gives every row in the order in which they were added.
func (s *spool) each(use func(Row) error) error {
	if err := s.out.Flush(); err != nil {
		return err
	}
	if _, err := s.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	place := make([]int, len(s.columns))
	for i := range place {
		place[i] = i
	}
	in := bufio.NewReaderSize(s.file, 1<<16)
	cells := make([]string, len(s.columns))
	for range s.rows {
		clear(cells)
		if err := readRow(in, cells, place); err != nil {
			return err
		}
		row := make(Row, 0, len(cells))
		for i, text := range cells {
			if text != "" {
				row = append(row, Field{s.columns[i], text})
			}
		}
		if err := use(row.sorted()); err != nil {
			return err
		}
	}
	return nil
}

// close drops the temporary file.
func (s *spool) close() {
	if s != nil && s.file != nil {
		s.file.Close()
		os.Remove(s.file.Name())
		s.file = nil
	}
}
