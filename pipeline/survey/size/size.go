// Package size finds out how large the sheets of a survey are, before they are
// read.
package size

import (
	"archive/zip"
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"spadefoot/pipeline/output"
	"spadefoot/pipeline/record/budget"
	"spadefoot/pipeline/sheet"
	"spadefoot/pipeline/survey"
)

// bytesOfRow is what a row of a workbook's tab takes unpacked, at the least, to
// tell from its size that it is a long one.
const bytesOfRow = 400

// Rows tells about how many rows the sheets have, counted up to a bound.
func Rows(s *survey.Survey, where func(string) string, bound int) (int, error) {
	rows := 0
	for _, ref := range s.Sheets {
		n, err := RowsIn(ref, where(ref.File), bound-rows)
		if err != nil {
			return 0, err
		}
		if rows += n; rows > bound {
			break
		}
	}
	return rows, nil
}

// WithinLines refuses a text file of more lines that hold something than it may
// have: each is read, judged and reported.
func WithinLines(s *survey.Survey, where func(string) string) error {
	most := s.Budgets.OrUsual().Lines
	for i, ref := range s.Sheets {
		file := where(ref.File)
		if err := sheet.Readable(ref.File, file); err != nil {
			return &output.InputError{File: ref.File, Err: s.Unread(i, err)}
		}
		if info, err := os.Stat(file); err == nil && info.Size() <= int64(most) {
			continue // a line has a byte at least
		}
		n, err := filledLines(ref.File, file, most)
		if err != nil {
			return err
		}
		if n > most {
			return &output.InputError{File: ref.File, Err: &sheet.Error{File: ref.File, Cause: fmt.Sprintf("more than %d lines are not blank", most), Advice: budget.Advice(budget.Lines)}}
		}
	}
	return nil
}

// filledLines counts the lines of a text file that hold something, up to a bound.
func filledLines(name, file string, bound int) (int, error) {
	f, err := os.Open(file)
	if err != nil {
		return 0, &output.InputError{File: name, Err: err}
	}
	defer f.Close()
	n, blank := 0, true
	for r := bufio.NewReaderSize(f, 1<<16); n <= bound; {
		part, err := r.ReadSlice('\n')
		if blank && len(bytes.TrimSpace(part)) > 0 {
			n, blank = n+1, false
		}
		switch {
		case err == nil:
			blank = true
		case errors.Is(err, io.EOF):
			return n, nil
		case !errors.Is(err, bufio.ErrBufferFull):
			return n, &output.InputError{File: name, Err: err}
		}
	}
	return n, nil
}

// RowsIn tells about how many rows a sheet of the survey has: lines of a text
// file, counted up to a bound, or what the tabs of a workbook come to unpacked.
// It is for telling a long survey from one that is held in memory.
func RowsIn(ref survey.SheetRef, file string, bound int) (int, error) {
	if err := sheet.Readable(ref.File, file); err != nil {
		return 0, &output.InputError{File: ref.File, Err: err}
	}
	f, err := os.Open(file)
	if err != nil {
		return 0, &output.InputError{File: ref.File, Err: err}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return 0, &output.InputError{File: ref.File, Err: err}
	}
	if z, err := zip.NewReader(f, info.Size()); err == nil {
		var size uint64
		for _, part := range z.File {
			if strings.HasSuffix(part.Name, ".xml") && path.Dir(part.Name) != "xl" { // not the shared texts
				size += part.UncompressedSize64
			}
		}
		return int(size / bytesOfRow), nil
	}
	return linesIn(f, bound)
}

// linesIn counts lines until there are more than the bound.
func linesIn(r io.Reader, bound int) (int, error) {
	b := make([]byte, 1<<16)
	n := 0
	for n <= bound {
		k, err := r.Read(b)
		n += bytes.Count(b[:k], []byte{'\n'})
		if errors.Is(err, io.EOF) {
			return n, nil
		}
		if err != nil {
			return n, err
		}
	}
	return n, nil
}
