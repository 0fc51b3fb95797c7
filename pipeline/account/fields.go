package account

import "bytes"

// fields cuts a row of CSV into its fields, in room that is used again.
type fields struct {
	out  [][]byte
	room []byte
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
	f.out, f.room = f.out[:0], f.room[:0]
	if cap(f.room) < len(row) {
		f.room = make([]byte, 0, 2*len(row)) // fields are parts of it, so that it must not move
	}
	row = bytes.TrimSuffix(row, []byte("\n"))
	for {
		if len(row) > 0 && row[0] == '"' {
			from := len(f.room)
			row = f.unquote(row[1:])
			f.out = append(f.out, f.room[from:len(f.room):len(f.room)])
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

// unquote appends a quoted field to the room and returns what follows it.
func (f *fields) unquote(row []byte) []byte {
	for {
		i := bytes.IndexByte(row, '"')
		if i < 0 {
			f.room = append(f.room, row...)
			return nil
		}
		f.room = append(f.room, row[:i]...)
		row = row[i+1:]
		if len(row) == 0 || row[0] != '"' {
			return row
		}
		f.room = append(f.room, '"')
		row = row[1:]
	}
}
