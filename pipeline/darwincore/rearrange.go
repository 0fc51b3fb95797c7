package darwincore

import (
	"bytes"
	"errors"
	"io"
)

// errTorn says that a file of rows does not end with a whole row.
var errTorn = errors.New("a file of rows was cut off while it was written")

// rearrangeCSV copies the rows of a file of ours, after its header, with the
// columns in another order: from says where each column is. A row may have
// fewer fields than others: what it lacks is the text of missing. Fields are
// copied as they are, with their quotes.
func rearrangeCSV(w io.Writer, in io.Reader, from []int, missing [][]byte) error {
	var (
		buffer = make([]byte, 0, 1<<18)
		ends   []int // of the fields of a row
		line   []byte
		header = true
	)
	for {
		if cap(buffer)-len(buffer) < cap(buffer)/4 {
			buffer = append(make([]byte, 0, 2*cap(buffer)), buffer...)
		}
		n, err := in.Read(buffer[len(buffer):cap(buffer)])
		buffer = buffer[:len(buffer)+n]
		rest := buffer
		for {
			var whole bool
			if ends, whole = fieldEnds(ends[:0], rest); !whole {
				break
			}
			row := rest
			rest = rest[ends[len(ends)-1]+1:]
			if header {
				header = false
				continue
			}
			line = pick(line[:0], row, ends, from, missing)
			if _, err := w.Write(line); err != nil {
				return err
			}
		}
		buffer = buffer[:copy(buffer, rest)]
		switch {
		case err == io.EOF && len(buffer) > 0:
			return errTorn
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		}
	}
}

// fieldEnds finds where the fields of the first row end, and whether the row
// is there as a whole.
func fieldEnds(ends []int, text []byte) ([]int, bool) {
	for at := 0; at < len(text); {
		if text[at] == '"' { // to the quote that ends the field, past those that are doubled
			for at++; ; at++ {
				next := bytes.IndexByte(text[at:], '"')
				if next < 0 {
					return ends, false
				}
				if at += next + 1; at == len(text) || text[at] != '"' {
					break
				}
			}
		}
		for at < len(text) && text[at] != ',' && text[at] != '\n' {
			at++
		}
		if at == len(text) {
			return ends, false
		}
		ends = append(ends, at)
		if text[at] == '\n' {
			return ends, true
		}
		at++
	}
	return ends, false
}

// pick appends a row of the fields at these places.
func pick(line, row []byte, ends, from []int, missing [][]byte) []byte {
	for i, at := range from {
		if i > 0 {
			line = append(line, ',')
		}
		switch {
		case at < 0 || at >= len(ends): // the row is older than the column
			line = append(line, missing[i]...)
		case at == 0:
			line = append(line, row[:ends[0]]...)
		default:
			line = append(line, row[ends[at-1]+1:ends[at]]...)
		}
	}
	return append(line, '\n')
}
