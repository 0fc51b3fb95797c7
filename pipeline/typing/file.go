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

	open bool // the last line lacks its end
}

// Read reads a file of typed rows, which may be empty or not there. A file with
// other headings is a *HeadingsError; one that is no CSV is an error too.
func Read(text []byte, headings []string) (*File, error) {
	f := &File{Whole: len(text)}
	if len(text) == 0 {
		return f, nil
	}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	r.FieldsPerRecord = -1
	skipped := len(text) - len(bytes.TrimPrefix(text, []byte("\ufeff")))
	first, last := true, int64(0)
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		whole := len(row) == len(headings) && (first || row[len(row)-1] == "" || len(row[len(row)-1]) == IdentifierLength)
		atEnd := r.InputOffset() == int64(len(text)-skipped) && !bytes.HasSuffix(text, []byte("\n"))
		switch {
		case err != nil && !cutOff(err, text):
			return nil, err
		case err != nil, atEnd && !whole:
			f.Whole = skipped + int(last)
			f.Torn = text[f.Whole:]
			return f, nil
		case first && !slices.Equal(row, headings):
			return nil, &HeadingsError{row, headings}
		case !first:
			f.Rows = append(f.Rows, row)
		}
		first, last = false, r.InputOffset()
		f.open = atEnd
	}
	return f, nil
}

// cutOff reports whether an error comes from quotation marks that are still open
// where the file ends.
func cutOff(err error, text []byte) bool {
	return errors.Is(err, csv.ErrQuote) && !bytes.HasSuffix(text, []byte("\n"))
}

// Has reports whether a row with the identifier is kept, and which one it is,
// from 0.
func (f *File) Has(id string) (int, bool) {
	i := slices.IndexFunc(f.Rows, func(row []string) bool { return len(row) > 0 && row[len(row)-1] == id })
	return i, i >= 0
}

// Appended gives the bytes that add a row to the whole lines of the file,
// headings first where it is empty.
func (f *File) Appended(headings, row []string) []byte {
	var b []byte
	if f.Whole == 0 {
		b = appendLine(b, headings)
	} else if f.open {
		b = append(b, '\n')
	}
	return appendLine(b, row)
}

func appendLine(b []byte, cells []string) []byte {
	for i, c := range cells {
		if i > 0 {
			b = append(b, ',')
		}
		b = lines.AppendField(b, c)
	}
	return append(b, '\n')
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
