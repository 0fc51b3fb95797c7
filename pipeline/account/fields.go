package account

import "bytes"

// fields cuts a row of CSV into its fields, in memory that is used again.
type fields struct {
	out    [][]byte
	quoted []byte
}

// split returns n fields, of which those that the row does not have are empty.
func (f *fields) split(row []byte, n int) [][]byte {
	f.cut(row)
	for len(f.out) < n {
		f.out = append(f.out, nil)
	}
	return f.out
}

func (f *fields) cut(row []byte) {
	f.out, f.quoted = f.out[:0], f.quoted[:0]
	if cap(f.quoted) < len(row) {
		f.quoted = make([]byte, 0, 2*len(row)) // fields are parts of it, so that it must not move
	}
	row = bytes.TrimSuffix(row, []byte("\n"))
	for {
		if len(row) > 0 && row[0] == '"' {
			from := len(f.quoted)
			row = f.unquote(row[1:])
			f.out = append(f.out, f.quoted[from:len(f.quoted):len(f.quoted)])
		} else {
			i := bytes.IndexByte(row, ',')
			if i < 0 {
				f.out = append(f.out, row)
				return
			}
			f.out = append(f.out, row[:i])
			row = row[i:]
		}
		if len(row) == 0 || row[0] != ',' {
			return
		}
		row = row[1:]
	}
}

// unquote appends a quoted field to quoted and returns what follows it.
func (f *fields) unquote(row []byte) []byte {
	for {
		i := bytes.IndexByte(row, '"')
		if i < 0 {
			f.quoted = append(f.quoted, row...)
			return nil
		}
		f.quoted = append(f.quoted, row[:i]...)
		row = row[i+1:]
		if len(row) == 0 || row[0] != '"' {
			return row
		}
		f.quoted = append(f.quoted, '"')
		row = row[1:]
	}
}
