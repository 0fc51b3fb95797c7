package typing

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"spadefoot/pipeline/record/lines"
)

// Headings of the columns that a file of typed rows has beside those of its
// form.
const (
	KeptHeading = "Kept in spite of" // what was doubted when the row was kept
	RowHeading  = "Row"              // identifier of the row, the last column
)

// IdentifierLength is the length of the identifier of a row: 16 bytes in
// hexadecimal digits.
const IdentifierLength = 32

// HeadingsError says that a file has other headings than its form.
type HeadingsError struct{ Found, Want []string }

func (e *HeadingsError) Error() string {
	return fmt.Sprintf("the file has the headings %s; the form has %s", strings.Join(e.Found, ", "), strings.Join(e.Want, ", "))
}

// File is a file of typed rows as it was read.
type File struct {
	Rows  [][]string // without headings
	Torn  []byte     // a last line that was cut off
	Whole int        // bytes up to the end of the last whole line

	begun bool // the headings are there
	text  []byte
	ends  []int // of each row, in bytes
	from  int   // of the first row
	open  bool  // the last line lacks its end
}

// Read reads a file of typed rows, which may be empty or not there. A file with
// other headings is a *HeadingsError; one that is not CSV is an error too.
func Read(text []byte, headings []string) (*File, error) {
	bare := bytes.TrimPrefix(text, []byte("\ufeff"))
	mark := len(text) - len(bare)
	f := &File{Whole: mark, text: text}
	r := csv.NewReader(bytes.NewReader(bare))
	r.FieldsPerRecord = -1
	for first := true; ; first = false {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			f.Whole, f.open = len(text), len(bare) > 0 && !bytes.HasSuffix(bare, []byte("\n"))
			return f, nil
		}
		open := r.InputOffset() == int64(len(bare)) && !bytes.HasSuffix(bare, []byte("\n"))
		switch {
		case err != nil && !(open && errors.Is(err, csv.ErrQuote)): // quotation marks that are still open where the file ends
			return nil, err
		case err != nil, open && !whole(row, headings, first):
			f.Torn = text[f.Whole:]
			return f, nil
		case first && !slices.Equal(row, headings):
			return nil, &HeadingsError{row, headings}
		case !first:
			f.Rows = append(f.Rows, row)
			f.ends = append(f.ends, mark+int(r.InputOffset()))
		}
		f.Whole, f.begun, f.open = mark+int(r.InputOffset()), true, open
		if first {
			f.from = f.Whole
		}
	}
}

// whole reports whether a last line without its end has all of its cells. One
// that a person wrote has no identifier.
func whole(row, headings []string, first bool) bool {
	if first || len(row) != len(headings) {
		return len(row) == len(headings)
	}
	n := len(row[len(row)-1])
	return n == 0 || n == IdentifierLength
}

// Has reports whether a row with the identifier is kept, and which one it is,
// from 0.
func (f *File) Has(id string) (int, bool) {
	i := slices.IndexFunc(f.Rows, func(row []string) bool { return len(row) > 0 && row[len(row)-1] == id })
	return i, i >= 0
}

// Appended returns the bytes that add a row to the whole lines of the file,
// headings first where it is empty.
func (f *File) Appended(headings, row []string) []byte {
	var b []byte
	if f.open {
		b = append(b, '\n')
	}
	if !f.begun {
		b = lines.AppendRow(b, headings)
	}
	return lines.AppendRow(b, row)
}

// Changed returns the bytes of the file with another row in the place of one, from
// 0. All other rows stay as they are.
func (f *File) Changed(i int, row []string) []byte {
	from := f.from
	if i > 0 {
		from = f.ends[i-1]
	}
	return slices.Concat(f.text[:from], lines.AppendRow(nil, row), f.text[f.ends[i]:])
}

// Clean takes out of a cell what a line of text cannot hold.
func Clean(cell string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == '\t' {
			return ' '
		}
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, cell))
}
