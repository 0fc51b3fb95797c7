package sheet

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"iter"
	"os"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/budget"
)

// Flow is a text file that is read in chunks of rows, so that a large one is
// never held. Its rows are those of Read.
//
// Encoding and separator are reported as Read tells them, the separator from the
// first 64 KiB and the encoding from the 64 KiB that begin at the first byte
// that is not ASCII. A byte further down that means nothing in the encoding is
// an error with its row and column.
type Flow struct {
	file  *os.File
	bytes io.Reader // the file, which adds to sum what is read
	sum   hash.Hash
	text  *textReader
	found []record.Finding
	done  bool
	most  int // cells of a chunk
}

// Open opens a text file to be read in chunks; name and path are those of
// Read. A workbook is an error: IsText tells beforehand. The findings are those
// that the beginning of the file gives rise to. Any error is an *Error.
func Open(name, path string, o Options) (*Flow, []record.Finding, error) {
	file, size, err := open(name, path)
	if err != nil {
		return nil, nil, err
	}
	f, err := flowFrom(name, file, size, o)
	if err != nil {
		file.Close()
		return nil, nil, err
	}
	f.file = file
	return f, f.Findings(), nil
}

// source is a file that has been opened.
type source interface {
	io.Reader
	io.ReaderAt
}

func flowFrom(name string, file source, size int64, o Options) (*Flow, error) {
	k, err := sniff(name, file, size)
	switch {
	case err != nil:
		return nil, err
	case k != textKind:
		return nil, &Error{File: name, Cause: "this is " + k.String() + ", not a text file", Advice: "read it whole"}
	case len(o.Tabs) > 0:
		return nil, tabsOfText(name)
	}
	f := &Flow{sum: sha256.New(), found: mismatch(name, k), most: o.Budgets.OrUsual().Cells}
	f.bytes = io.TeeReader(file, f.sum)
	f.text = &textReader{name: name, found: func(x record.Finding) { f.found = append(f.found, x) }}
	return f, f.text.begin(f.bytes, o)
}

func tabsOfText(name string) error {
	return &Error{File: name, Cause: "survey.yaml asks for tabs of it, but this is a text file",
		Advice: "remove the key tabs from its entry under sheets"}
}

// Next returns up to n more rows, and io.EOF, with no rows, behind the last.
// Blank lines between rows are rows with no cells, those at the end are left
// out. The texts of the cells are cut from large strings: whoever keeps one for
// long clones it. Any other error is an *Error.
func (f *Flow) Next(n int) ([]record.Row, error) {
	if f.done {
		return nil, io.EOF
	}
	rows := make([]record.Row, 0, n)
	for cells := 0; len(rows) < n; {
		row, err := f.text.next()
		if err == io.EOF {
			f.done = true
			if _, err := io.Copy(io.Discard, f.bytes); err != nil { // what is behind the end mark of DOS, for the sum
				return nil, f.text.failure(err)
			}
			break
		}
		if err != nil {
			return nil, err
		}
		if cells += len(row.Cells); cells > f.most {
			f.text.spent.exceed(record.Address{File: f.text.name, Row: row.Number}, budget.Cells, fmt.Sprintf("%d rows up to here have more than %d cells, blank ones included", len(rows)+1, f.most))
			return nil, f.text.spent.over
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 && n > 0 {
		return nil, io.EOF
	}
	return rows, nil
}

// Findings returns what was found since the last call. Rows of odd width are
// reported after the last row.
func (f *Flow) Findings() []record.Finding {
	out := f.found
	f.found = nil
	record.SortFindings(out)
	return out
}

// Sum is the SHA-256 of the bytes as they were read, once Next has given
// io.EOF or its last rows; before that it is that of the bytes read so far.
func (f *Flow) Sum() [sha256.Size]byte { return [sha256.Size]byte(f.sum.Sum(nil)) }

// Close closes the file.
func (f *Flow) Close() error { return f.file.Close() }

// Chunk is some rows of a file that follow each other.
type Chunk struct {
	Tab   string // of a workbook; empty for a text
	First bool   // of their tab, or of the text
	Rows  []record.Row
}

// Chunks reads the rows of a file: those of a text as it flows, so many at a time,
// those of a workbook tab by tab. What there is to say of the file is for who reads
// it as a sheet; an error ends it.
func Chunks(name, path string, o Options, n int) iter.Seq2[Chunk, error] {
	return func(yield func(Chunk, error) bool) {
		text, err := IsText(name, path)
		if err != nil {
			yield(Chunk{}, err)
			return
		}
		if !text {
			sheets, _, err := Read(name, path, o)
			if err != nil {
				yield(Chunk{}, err)
				return
			}
			for i := range sheets {
				if !yield(Chunk{sheets[i].Name, true, sheets[i].Rows}, nil) {
					return
				}
			}
			return
		}
		flow, _, err := Open(name, path, o)
		if err != nil {
			yield(Chunk{}, err)
			return
		}
		defer flow.Close()
		for first := true; ; first = false {
			rows, err := flow.Next(n)
			end := errors.Is(err, io.EOF)
			if end {
				err = nil
			}
			if !yield(Chunk{First: first, Rows: rows}, err) || end || err != nil {
				return
			}
		}
	}
}
